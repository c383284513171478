"""`hall-caller record CLASS`: what the class has shown; a copy of the record; taking a class out of it."""

from __future__ import annotations

import argparse
import json
import time
from pathlib import Path

from caller.errors import NotFoundError, UserError
from caller.live.controls.keys import controls_path
from caller.planning.classfile import read_class
from caller.planning.next_lesson import class_files
from caller.record.knowledge import Knowledge, know
from caller.record.model import LessonKept
from caller.record.store import Store, find_class, record_path
from caller.record.telling import as_csv, as_dict, sentences
from caller.screen.recordchart import draw_record
from caller.screen.still import file_bytes

_PICTURES = (".png", ".svg", ".pdf")
_SIZE = (1600, 1000)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument(
        "words",
        nargs="*",
        metavar="CLASS",
        help="a class by its name or its file; `backup`; `forget CLASS`; nothing: which classes there are",
    )
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")
    parser.add_argument(
        "--to", type=Path, metavar="FILE", help="a table (csv), a picture (png, svg, pdf), a copy"
    )
    parser.add_argument("--all", action="store_true", help="with `forget`: every class")


def run(arguments: argparse.Namespace) -> int:
    """Tell, copy or forget."""
    words = list(arguments.words)
    if arguments.all and words != ["forget"]:
        raise UserError("--all belongs to `hall-caller record forget --all`.")
    match words:
        case []:
            _classes()
        case ["backup"]:
            _back_up(arguments.to)
        case ["forget"] if arguments.all:
            _forget(None)
        case ["forget", *rest] if rest:
            _forget(" ".join(rest))
        case ["forget"]:
            raise UserError("Name the class to forget, or add --all to forget every class.")
        case _:
            _tell(" ".join(words), arguments)
    return 0


def _classes() -> None:
    with Store() as store:
        names = store.classes()
    print(f"The record is {record_path()}.")
    print(f"It has: {', '.join(name or '(no class named)' for name in names)}." if names else "It is empty.")
    print(
        f"For the start screen to offer a class to somebody standing in, put its file into {class_files()}."
    )
    print(f"Your own meanings of buttons go into {controls_path()}.")


def _tell(wanted: str, arguments: argparse.Namespace) -> None:
    with Store() as store:
        name = find_class(store, _named(wanted))
        lessons = store.lessons(name)
    knowledge = know(lessons, time.time())
    if arguments.to is not None:
        _write(arguments.to, name, lessons, knowledge)
    if arguments.json:
        print(json.dumps(as_dict(name, lessons, knowledge), ensure_ascii=False, indent=1))
    else:
        print("\n".join(sentences(name, lessons, knowledge)))


def _named(wanted: str) -> str:
    """Return the class's name; it may be given by its class file."""
    return read_class(Path(wanted)).name if wanted.endswith(".toml") else wanted


def _write(path: Path, name: str, lessons: tuple[LessonKept, ...], knowledge: Knowledge) -> None:
    ending = path.suffix.lower()
    if ending == ".csv":
        content = as_csv(lessons).encode("utf-8")
    elif ending in _PICTURES:
        width, height = _SIZE
        content = file_bytes(
            lambda canvas: draw_record(canvas, name, lessons, knowledge, width=width, height=height),
            width,
            height,
            ending,
            title=name,
        )
    else:
        raise UserError(f"--to {path}: its ending says what to write: csv, png, svg or pdf.")
    try:
        path.write_bytes(content)
    except OSError as error:
        raise NotFoundError(f"{path} cannot be written ({error.strerror}). Choose another folder.") from None


def _back_up(path: Path | None) -> None:
    if path is None:
        raise UserError("Say where the copy goes: hall-caller record backup --to FILE.")
    with Store() as store:
        store.backup(path)
    print(f"The record is copied to {path}. Put it back by copying it to {record_path()}.")


def _forget(wanted: str | None) -> None:
    with Store() as store:
        name = None if wanted is None else find_class(store, _named(wanted))
        gone = store.forget(name)
    print(f"{gone} lesson{'' if gone == 1 else 's'} forgotten. Copies made by `backup` are not touched.")

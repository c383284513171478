"""`hall-caller record CLASS`: what the class has shown; `record backup`, `restore` and `forget`."""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from caller.cli.printing import as_json
from caller.cli.targets import PICTURES, add_replace, check_ending, write_picture
from caller.errors import NotFoundError, UserError
from caller.file_writing import check_target, write_text
from caller.live.keys import controls_path
from caller.planning.classfile import read_class
from caller.planning.next_lessons import class_files
from caller.record import LessonKept
from caller.record.files import OneLesson, record_path
from caller.record.knowledge import Knowledge, know
from caller.record.store import Store
from caller.record.telling import as_csv, as_dict, sentences
from caller.record.writer import take_in_copy
from caller.screen.charts import draw_record

_SIZE = (1600, 1000)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.epilog = (
        "`hall-caller record backup` copies the record, `hall-caller record restore` takes a copy in again; "
        "`hall-caller record forget` takes classes out."
    )
    parser.add_argument(
        "words",
        nargs="*",
        metavar="CLASS",
        help="a class by its name or its file; left out: which classes there are, and where the record lies",
    )
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")
    parser.add_argument(
        "--to", type=Path, metavar="FILE", help="also as a table (csv) or a picture (png, svg, pdf)"
    )
    add_replace(parser)


def run(arguments: argparse.Namespace) -> int:
    """Tell what a class has shown, or which classes there are."""
    if arguments.words:
        _tell(" ".join(arguments.words), arguments)
    elif arguments.to is not None or arguments.json:
        raise UserError("Name a class to tell about, such as: hall-caller record Terns.")
    else:
        _classes()
    return 0


def add_backup_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `record backup` understands."""
    parser.add_argument("--to", type=Path, required=True, metavar="FILE", help="where the copy goes")
    add_replace(parser)


def run_backup(arguments: argparse.Namespace) -> int:
    """Copy the record."""
    check_target(arguments.to, replace=arguments.replace, sources=[record_path()])
    with Store() as store:
        store.backup(arguments.to, replace=arguments.replace)
    print(f"The record is copied to {arguments.to}. Put it back with: hall-caller record restore FILE.")
    return 0


def add_restore_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `record restore` understands."""
    parser.epilog = "Lessons that this computer has already stay as they are; the copy is not changed."
    parser.add_argument("copy", type=Path, metavar="FILE", help="what `record backup` has written")


def run_restore(arguments: argparse.Namespace) -> int:
    """Take in a copy of the record."""
    with OneLesson(), Store() as store:
        new, there = take_in_copy(arguments.copy, store)
    print(f"Lessons taken in: {new}. Here already: {there}.")
    return 0


def add_forget_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `record forget` understands."""
    parser.epilog = (
        "What is forgotten is overwritten on the disk. Copies made by `record backup` are not touched."
    )
    parser.add_argument("words", nargs="*", metavar="CLASS", help="a class by its name or its file")
    parser.add_argument("--all", action="store_true", help="every class")


def run_forget(arguments: argparse.Namespace) -> int:
    """Take one class, or all, out of the record."""
    wanted = " ".join(arguments.words)
    if bool(wanted) == arguments.all:
        raise UserError("Name the class to forget, or add --all to forget every class.")
    with OneLesson(), Store() as store:  # a lesson that runs would be kept again as it ends
        gone = store.forget(None if arguments.all else find_class(store, _named(wanted)))
    print(f"{gone} lesson{'' if gone == 1 else 's'} forgotten. Copies made by `backup` are not touched.")
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
    if arguments.to is not None:
        check_ending(arguments.to, (".csv", *PICTURES), what="what to write")
        check_target(arguments.to, replace=arguments.replace, sources=[record_path()])
    with Store() as store:
        name = find_class(store, _named(wanted))
        lessons = store.lessons(name)
    knowledge = know(lessons, time.time())
    if arguments.to is not None:
        _write(arguments, name, lessons, knowledge)
    print(
        as_json(as_dict(name, lessons, knowledge))
        if arguments.json
        else "\n".join(sentences(name, lessons, knowledge))
    )


def _named(wanted: str) -> str:
    """Return the class's name; it may be given by its class file."""
    return read_class(Path(wanted)).name if wanted.endswith(".toml") else wanted


def _write(
    arguments: argparse.Namespace, name: str, lessons: tuple[LessonKept, ...], knowledge: Knowledge
) -> None:
    path, replace = arguments.to, arguments.replace
    if path.suffix.lower() == ".csv":
        write_text(path, as_csv(lessons), replace=replace)
        return
    width, height = _SIZE
    write_picture(
        lambda canvas: draw_record(canvas, name, lessons, knowledge, width=width, height=height),
        path,
        width=width,
        height=height,
        title=name,
        replace=replace,
    )


def find_class(store: Store, wanted: str) -> str:
    """Return the name under which the record has a class; capitals do not matter.

    Raises
    ------
    NotFoundError
        If the record has no such class; the text names those that it has.
    """
    names = store.classes()
    for name in names:
        if name.casefold() == wanted.strip().casefold():
            return name
    named = ", ".join(name or "(no class named)" for name in names)
    known = f"It has: {named}." if names else "It is empty: run a lesson first."
    raise NotFoundError(f'The record has no class "{wanted}". {known}')

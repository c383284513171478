"""`hall-caller handover CLASS --to FOLDER`: the right next lesson, as a folder that anyone can lead from."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Final

from caller.cli.printing import Bar
from caller.errors import NotFoundError, UserError
from caller.export.formats import export
from caller.export.job import Job, Options
from caller.export.programme import Programme
from caller.export.start_page import start_page
from caller.file_reading import is_file, read_bytes
from caller.file_writing import check_empty, making_folder, write_bytes, write_text
from caller.planning.classfile import LEAST_MINUTES, MOST_MINUTES, SchoolClass, read_class
from caller.planning.next_lesson import class_files, classes, plan_next
from caller.planning.notes import script
from caller.scripts.source import MAX_BYTES
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.segment import Timeline

_NAME: Final = "lesson"
_ENDINGS: Final = (".html", ".pdf", ".mp3")
_START: Final = "START.html"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.epilog = f"The folder appears when it is whole. Whoever leads opens {_START} in it."
    parser.add_argument(
        "school_class", metavar="CLASS", help="a class file, or the name of a class in the record"
    )
    parser.add_argument("--to", required=True, type=Path, metavar="FOLDER", help="the folder to make")
    parser.add_argument("--minutes", type=int, metavar="M", help="the class's own if left out")
    parser.add_argument("--video", action="store_true", help="with a video too, which takes minutes to make")
    parser.add_argument("--size", choices=("720p", "1080p"), default="720p", help="size of the video (720p)")


def run(arguments: argparse.Namespace) -> int:
    """Plan the lesson and make the folder."""
    check_empty(arguments.to)
    school_class, beside = _class(arguments.school_class)
    minutes = school_class.minutes if arguments.minutes is None else arguments.minutes
    if not LEAST_MINUTES <= minutes <= MOST_MINUTES:
        raise UserError(f"--minutes {minutes}: choose from {LEAST_MINUTES} to {MOST_MINUTES}.")
    with making_folder(arguments.to) as folder, VoiceBox() as voice:
        print("Planning the lesson ...", file=sys.stderr)
        plan = plan_next(school_class, minutes=minutes, voice=voice, folder=beside)
        write_text(folder / f"{_NAME}.toml", script(plan))
        hall = (class_files() if beside is None else beside) / school_class.hall
        if school_class.hall and is_file(hall):  # the lesson names it, so it comes along
            write_bytes(folder / hall.name, read_bytes(hall, most_bytes=MAX_BYTES))
        programme = Programme(Timeline(plan.run_sheet, voice=voice, tones=load_tones()))
        for ending in (*_ENDINGS, ".mp4") if arguments.video else _ENDINGS:
            target = folder / f"{_NAME}{ending}"
            options = Options(size=arguments.size, burn_captions=True)
            export(Job(programme=programme, options=options, progress=Bar(target.name)), target)
        write_text(folder / _START, start_page(programme, plan.lesson, video=arguments.video))
    print(f"{arguments.to} is ready to hand over. It begins with {_START}.")
    return 0


def _class(wanted: str) -> tuple[SchoolClass, Path | None]:
    """Return the class, and where its file lies."""
    if wanted.endswith(".toml"):
        return read_class(Path(wanted)), Path(wanted).parent
    for name, each in classes().items():
        if name.casefold() == wanted.casefold():
            return each, None
    raise NotFoundError(
        f'There is no class "{wanted}" in the record. Name its class file, such as terns.toml.'
    )

"""`hall-caller handover CLASS --to FOLDER`: the right next lesson, as a folder that anyone can lead from."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from caller.cli.printing import Bar
from caller.errors import NotFoundError
from caller.export.formats import Progress
from caller.export.handover import START, hand_over
from caller.file_writing import check_empty
from caller.planning.classfile import SchoolClass, read_class
from caller.planning.next_lessons import classes
from caller.sound.voice import VoiceBox


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.epilog = f"The folder appears when it is whole. Whoever leads opens {START} in it."
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
    with VoiceBox() as voice:
        voice.expect(school_class.language)
        hand_over(
            school_class,
            arguments.to,
            voice=voice,
            minutes=arguments.minutes,
            beside=beside,
            video=arguments.video,
            size=arguments.size,
            progress=_progress,
        )
    print(f"{arguments.to} is ready to hand over. It begins with {START}.")
    return 0


def _progress(name: str) -> Progress:
    if name.endswith(".toml"):
        print("Planning the lesson ...", file=sys.stderr)
        return lambda _share: None
    return Bar(name)


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

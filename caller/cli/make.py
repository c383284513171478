"""`hall-caller make [LESSON]`: the lesson maker, a window of its own."""

from __future__ import annotations

import argparse
import sys

from caller.errors import MachineError, UserError
from caller.languages.folders import of_this_system
from caller.lesson.library import find_lesson
from caller.maker.process import ASKED_FOR, PACE_S, check_display, check_extra

_PACES_S = (0.5, 20.0)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.epilog = "A class is made or changed in its place with --class."
    parser.add_argument("lesson", nargs="?", help="a lesson file, or the name of a ready one to begin from")
    parser.add_argument(
        "--class",
        dest="class_name",
        nargs="?",
        const="",
        metavar="NAME",
        help="make a class, or change the one of this name, instead of a lesson",
    )
    parser.add_argument(
        "--one-button",
        action="store_true",
        help="a frame walks over the buttons by itself, and any key presses the one it is on",
    )
    parser.add_argument(
        "--pace",
        type=_seconds,
        default=PACE_S,
        metavar="SECONDS",
        help=f"how long the frame stays on each button ({PACE_S})",
    )


def run(arguments: argparse.Namespace) -> int:
    """Open the maker until the teacher closes it."""
    if arguments.lesson and arguments.class_name is not None:
        raise UserError("A lesson or a class, not both: leave one of them out.")
    check_extra()
    check_display()
    path = find_lesson(arguments.lesson) if arguments.lesson else None
    try:
        from caller.maker.application import open_class, open_maker  # noqa: PLC0415 - only here is Qt loaded
    except ImportError as error:
        if (error.name or "").startswith("caller"):
            raise  # ours to mend, not the teacher's
        raise MachineError(
            f"The lesson maker's window cannot load ({error}): on Debian or Ubuntu run "
            "`sudo apt install libegl1 libgl1 libxkbcommon0 libdbus-1-3 libfontconfig1`, "
            f'elsewhere `"{sys.executable}" -m pip install --force-reinstall "{ASKED_FOR}"`.'
        ) from error
    if arguments.class_name is not None:
        return open_class(arguments.class_name, of_this_system())
    return open_maker(path, of_this_system(), pace_s=arguments.pace if arguments.one_button else None)


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0.0
    if not _PACES_S[0] <= seconds <= _PACES_S[1]:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of seconds from 0.5 to 20")
    return seconds

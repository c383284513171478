"""`hall-caller make [LESSON]`: the lesson maker, a window of its own."""

from __future__ import annotations

import argparse
import sys

from caller.errors import MachineError
from caller.languages.system import of_this_system
from caller.lesson.library import find_lesson
from caller.maker.process import ASKED_FOR, check_display, check_extra


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument("lesson", nargs="?", help="a lesson file, or the name of a ready one to begin from")


def run(arguments: argparse.Namespace) -> int:
    """Open the maker until the teacher closes it."""
    check_extra()
    check_display()
    path = find_lesson(arguments.lesson) if arguments.lesson else None
    try:
        from caller.maker.window import open_maker  # noqa: PLC0415 - only here is Qt loaded
    except ImportError as error:
        if (error.name or "").startswith("caller"):
            raise  # ours to mend, not the teacher's
        raise MachineError(
            f"The lesson maker's window cannot load ({error}): on Debian or Ubuntu run "
            "`sudo apt install libegl1 libgl1 libxkbcommon0 libdbus-1-3 libfontconfig1`, "
            f'elsewhere `"{sys.executable}" -m pip install --force-reinstall "{ASKED_FOR}"`.'
        ) from error
    return open_maker(path, of_this_system())

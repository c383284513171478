"""`caller run LESSON`: the hall, live."""

from __future__ import annotations

import argparse
from pathlib import Path

from caller.errors import UserError
from caller.lesson.library import find_lesson
from caller.lesson.reading import read_lesson
from caller.live.run_log import RunLog
from caller.live.session import Options
from caller.live.session import run as run_lesson
from caller.live.window import Window
from caller.runsheet.sequence import make_run_sheet
from caller.screen.theme import THEMES
from caller.sound.voice import VoiceBox


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument("lesson", help="a lesson file, or the name of a ready lesson such as `demo`")
    parser.add_argument("--from", dest="first_round", type=int, metavar="ROUND", help="begin at this round")
    parser.add_argument("--window", action="store_true", help="in a window instead of full screen")
    parser.add_argument(
        "--size", type=_size, metavar="WxH", help="in a window of this size, such as 1280x720"
    )
    parser.add_argument("--theme", choices=sorted(THEMES), default="light", help="light or dark screen")
    parser.add_argument("--mute", action="store_true", help="without sound")
    parser.add_argument("--log", type=Path, metavar="FILE", help="write what happens, and when, to this file")


def run(arguments: argparse.Namespace) -> int:
    """Lead the lesson."""
    run_sheet = make_run_sheet(read_lesson(find_lesson(arguments.lesson)))
    _check_round(arguments.first_round, len(run_sheet.rounds))
    with RunLog(arguments.log) as log:
        log.event("start")
        window = Window(full_screen=not arguments.window, size=arguments.size, theme=THEMES[arguments.theme])
        options = Options(mute=arguments.mute, first_round=arguments.first_round, log=log)
        try:
            with VoiceBox() as voice:
                run_lesson(run_sheet, window, options, voice)
        finally:
            window.close()
    return 0


def _check_round(first_round: int | None, rounds: int) -> None:
    if first_round is not None and not 1 <= first_round <= rounds:
        raise UserError(f"--from {first_round}: this lesson has rounds 1 to {rounds}; choose one of them.")


def _size(text: str) -> tuple[int, int]:
    width, _, height = text.lower().partition("x")
    if not (
        width.isdigit() and height.isdigit() and 320 <= int(width) <= 7680 and 240 <= int(height) <= 4320
    ):
        raise argparse.ArgumentTypeError(f"{text!r} is not a size such as 1280x720")
    return int(width), int(height)

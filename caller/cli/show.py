"""`caller show LESSON`: the run sheet."""

from __future__ import annotations

import argparse
import json

from caller.lesson.library import find_lesson
from caller.lesson.reading import read_lesson
from caller.runsheet.sequence import make_run_sheet
from caller.runsheet.serial import as_dict
from caller.runsheet.table import as_table
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.layout import seconds_of
from caller.timeline.segment import Timeline


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument("lesson", help="a lesson file, or the name of a ready lesson such as `demo`")
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")


def run(arguments: argparse.Namespace) -> int:
    """Print the run sheet, with the start of every call by its real spoken length."""
    run_sheet = make_run_sheet(read_lesson(find_lesson(arguments.lesson)))
    with VoiceBox() as voice:
        starts_s = [
            seconds_of(start) for start in Timeline(run_sheet, voice=voice, tones=load_tones()).starts()
        ]
    if arguments.json:
        print(json.dumps(as_dict(run_sheet) | {"starts_s": starts_s}, ensure_ascii=False, indent=1))
    else:
        print(as_table(run_sheet, starts_s))
    return 0

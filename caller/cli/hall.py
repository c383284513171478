"""`hall-caller hall HALL`: what a room does to voice and dial; `hall-caller hall measure` asks the room."""

from __future__ import annotations

import argparse
import dataclasses
from pathlib import Path

from caller.cli.printing import as_json
from caller.cli.targets import add_replace, check_picture, write_picture
from caller.errors import UserError
from caller.hall import Hall
from caller.hall.adapt import delivery
from caller.hall.advice import HallReport, report
from caller.hall.hallfile import find_hall, preset_names
from caller.lesson import Lesson
from caller.runsheet.sequence import voice_plan
from caller.sound.tones import load_tones
from caller.timeline.segment import short_db

_SIZE = (1600, 900)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.epilog = "`hall-caller hall measure` measures a room. Your own: `hall-caller new hall --to FILE`."
    parser.add_argument(
        "hall", metavar="HALL", help=f"a hall file, or a ready-made hall ({', '.join(preset_names())})"
    )
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")
    parser.add_argument("--to", type=Path, metavar="FILE", help="a map of the floor: png, svg or pdf")
    add_replace(parser)


def run(arguments: argparse.Namespace) -> int:
    """Tell about a hall."""
    if arguments.to is not None:
        check_picture(arguments.to, replace=arguments.replace)
    hall = find_hall(arguments.hall, folder=Path())
    told = report(hall)
    if arguments.to is not None:
        _write_map(hall, told, arguments.to, replace=arguments.replace)
    lines = page(told) + tones_told(hall)
    print(as_json(dataclasses.asdict(told)) if arguments.json else "\n".join(lines))
    return 0


def add_measure_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `hall measure` understands."""
    parser.add_argument(
        "hall",
        nargs="?",
        metavar="HALL",
        help="the hall file that the figures are added to, or a ready-made hall to begin from; "
        "left out, the figures are only told",
    )
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")
    parser.add_argument(
        "--to", type=Path, metavar="FILE", help="the hall file to add the figures to; made if it is not there"
    )
    parser.add_argument(
        "--delay",
        action="store_true",
        help="only how late the loudspeaker sounds, such as a wireless one: remembered for that device, "
        "and the picture waits for it",
    )


def run_measure(arguments: argparse.Namespace) -> int:
    """Measure a hall."""
    from caller.cli.hall_measure import measure, measure_delay  # noqa: PLC0415  (opens the sound library)

    if arguments.delay:
        if arguments.hall is not None or arguments.to is not None:
            raise UserError("--delay measures the loudspeaker and no hall: leave the hall and --to out.")
        return measure_delay(as_json=arguments.json)
    return measure(arguments.hall, arguments.to, as_json=arguments.json)


def page(told: HallReport) -> list[str]:
    """Return the lines of the page of advice."""
    times = "  ".join(f"{time_s:4.1f}" for time_s in told.reverberation_s)
    lines = [
        told.name[:1].upper() + told.name[1:],
        f"  Echo in seconds at 125, 250, 500, 1k, 2k, 4k, 8k Hz: {times.strip()}",
        f"  Level of the voice over the class: {told.level_back_dba:.0f} to {told.level_front_dba:.0f} dB(A)",
        "",
    ]
    return lines + [f"- {each.text}" for each in told.advice]


def tones_told(hall: Hall) -> list[str]:
    """Return what the tones cannot do in this hall, as lines of the page."""
    plan = voice_plan(Lesson(), delivery(hall))
    lacking = short_db(plan, load_tones())
    if not lacking:
        return []
    names = ", ".join(f"“{name}” by {lack:.0f} dB" for name, lack in lacking.items())
    told = (
        f"- These tones cannot be made loud enough to stand out here: {names}. Bring a loudspeaker nearer to "
        "the last row, and let a class that is louder than this come to rest before it is called."
    )
    return [told]


def _write_map(hall: Hall, told: HallReport, path: Path, *, replace: bool) -> None:
    from caller.screen.hallmap import draw_hall  # noqa: PLC0415  (drawing is not needed for the page)

    width, height = _SIZE
    write_picture(
        lambda canvas: draw_hall(canvas, hall, told, width=width, height=height),
        path,
        width=width,
        height=height,
        title=told.name,
        replace=replace,
    )

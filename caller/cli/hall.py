"""`hall-caller hall HALL`: what a room does to voice and dial; `hall-caller hall measure` asks the room."""

from __future__ import annotations

import argparse
import dataclasses
import json
from pathlib import Path

from caller.errors import NotFoundError, UserError
from caller.hall.adapt import delivery
from caller.hall.advice import HallReport, report
from caller.hall.hallfile import preset_names
from caller.hall.model import Hall
from caller.hall.reading import find_hall
from caller.lesson.model import Lesson
from caller.runsheet.sequence import voice_plan
from caller.sound.tones import load_tones
from caller.timeline.spoken import short_db

_PICTURES = (".png", ".svg", ".pdf")
_SIZE = (1600, 900)
_MEASURE = "measure"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument(
        "words",
        nargs="+",
        metavar="HALL",
        help=f"a hall file, or a ready-made hall ({', '.join(preset_names())}); "
        f"`{_MEASURE}`, and a hall or nothing: play a rising sound, record it, and measure the room",
    )
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")
    parser.add_argument(
        "--to",
        type=Path,
        metavar="FILE",
        help=f"a map of the floor (png, svg, pdf); with `{_MEASURE}`, the hall file to keep the figures in",
    )


def run(arguments: argparse.Namespace) -> int:
    """Tell about a hall, or measure one."""
    match arguments.words:
        case ["measure", *hall] if len(hall) < 2:
            from caller.cli.hall_measure import measure  # noqa: PLC0415  (opens the sound library)

            return measure(hall[0] if hall else None, arguments.to, as_json=arguments.json)
        case [name]:
            hall_named = find_hall(name, folder=Path())
        case _:
            raise UserError("Name one hall, or write `hall-caller hall measure` and one hall.")
    told = report(hall_named)
    if arguments.to is not None:
        write_picture(hall_named, told, arguments.to)
    print(_as_json(told) if arguments.json else "\n".join(page(told) + tones_told(hall_named)))
    return 0


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


def _as_json(told: HallReport) -> str:
    return json.dumps(dataclasses.asdict(told), ensure_ascii=False, indent=1)


def write_picture(hall: Hall, told: HallReport, path: Path) -> None:
    """Write the map of a hall's floor.

    Raises
    ------
    UserError
        If the ending is not a picture's, or the file cannot be written.
    """
    if path.suffix.lower() not in _PICTURES:
        raise UserError(f"--to {path}: its ending says what to write: png, svg or pdf.")
    from caller.screen.hallmap import draw_hall  # noqa: PLC0415  (drawing is not needed for the page)
    from caller.screen.still import file_bytes  # noqa: PLC0415

    width, height = _SIZE
    content = file_bytes(
        lambda canvas: draw_hall(canvas, hall, told, width=width, height=height),
        width,
        height,
        path.suffix,
        title=told.name,
    )
    try:
        path.write_bytes(content)
    except OSError as error:
        raise NotFoundError(f"{path} cannot be written ({error.strerror}). Choose another folder.") from None

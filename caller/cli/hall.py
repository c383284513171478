"""`hall-caller hall HALL`: what a room does to voice and dial; `hall-caller hall measure` asks the room.

Measuring plays and records a rising sound: the room is reckoned from it, and how late the loudspeaker is: the
delay is remembered for that device.
"""

from __future__ import annotations

import argparse
import dataclasses
import datetime
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from caller.cli.printing import as_json
from caller.cli.targets import add_replace, check_picture, write_picture
from caller.errors import CallerError, SoundError, UserError
from caller.file_reading import is_file, read_bytes
from caller.file_writing import check_target, write_text
from caller.hall import Hall
from caller.hall.adapt import delivery
from caller.hall.advice import HallReport, report
from caller.hall.hallfile import find_hall, preset_names
from caller.hall.intelligibility import word, words_heard
from caller.hall.response import Measurement, with_measured, with_measurement
from caller.hall.sweep_run import (
    OVER_VOICE_DB,
    SWEEP_S,
    WARNING_S,
    SoundArrival,
    measure_hall,
    time_loudspeaker,
)
from caller.lesson import Lesson
from caller.live.loudspeaker import MOST_MS, Lateness
from caller.runsheet.sequence import voice_plan
from caller.scripts.source import MAX_BYTES, decode
from caller.sound import STARTING_DB, VOICE_LUFS
from caller.sound.tones import load_tones
from caller.timeline.segment import short_db

_SIZE = (1600, 900)
_WARNING = f"""\
A rising sound of {SWEEP_S:.0f} seconds is going to play, softly first, then louder if that is not enough:
at most {OVER_VOICE_DB[-1]:.0f} dB louder than the voice of a lesson. Nobody stands within 2 m of the
loudspeaker, and nobody who is sensitive to sound is in the room. Your school's own rules come first.
The microphone belongs {{microphone}}. The recording stays in memory and is dropped.
Ctrl-C stops it at once."""
_SURELY_EARLY_S = -0.02  # nothing is heard before it is played: the times that were told are wrong
_HEARD_ABOUT = ("edt_s", "t20_s", "t30_s")


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
    if arguments.delay:
        if arguments.hall is not None or arguments.to is not None:
            raise UserError("--delay measures the loudspeaker and no hall: leave the hall and --to out.")
        return _measure_delay(in_json=arguments.json)
    return _measure(arguments.hall, arguments.to, in_json=arguments.json)


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


def _measure(name: str | None, to: Path | None, *, in_json: bool) -> int:
    """Measure, tell, and keep the figures in the hall file there is, and the loudspeaker's delay."""
    hall = None if name is None else find_hall(name, folder=Path())
    target = _target(name, to)
    lateness = Lateness()
    _warn("in the last row")
    found, arrival = measure_hall(VOICE_LUFS + STARTING_DB, told=_told)
    if in_json:
        print(as_json(_plain(found) | _plain_delay(arrival)))
    else:
        print("\n".join(_lines(found, hall)))
    if arrival is not None:
        try:
            _keep_delay(arrival, lateness)
        except CallerError as untold:  # the hall is what was asked for
            _told(str(untold))
    if not found.good:
        raise SoundError(found.fault)
    if target is not None:
        _keep(found, target, name)
        _told(f"The figures are in {target}.")
    return 0


def _measure_delay(*, in_json: bool) -> int:
    """Find how late the loudspeaker sounds, tell it, and remember it for that device."""
    lateness = Lateness()
    _warn("beside the loudspeaker")
    arrival = time_loudspeaker(VOICE_LUFS + STARTING_DB, told=_told)
    if in_json:
        print(as_json(_plain_delay(arrival)))
    _keep_delay(arrival, lateness)
    return 0


def _warn(microphone: str) -> None:
    _told(_WARNING.format(microphone=microphone))
    for left_s in range(WARNING_S, 0, -1):
        _told(f"{left_s} ...")
        time.sleep(1.0)


def _told(sentence: str) -> None:
    print(sentence, file=sys.stderr)


def _keep_delay(arrival: SoundArrival, lateness: Lateness) -> None:
    """Let the picture wait for this loudspeaker from now on, and say so."""
    name, late_ms = arrival.loudspeaker, round(1000 * arrival.late_s)
    heard = f"The loudspeaker “{name}” is heard {late_ms} ms later than it says, where the microphone is"
    if arrival.late_s < _SURELY_EARLY_S or late_ms > MOST_MS:
        raise SoundError(
            f"{heard}: that cannot be, or is more than the {MOST_MS} ms that the picture can wait. Use a"
            " cable, or set it by ear in the sound check."
        )
    _told(f"{heard}.")
    lateness.change(name, late_ms - lateness.of(name))
    _told("The picture waits so long for it from the next lesson on; the sound check can change it.")


def _target(name: str | None, to: Path | None) -> Path | None:
    """Return the hall file that is to hold the figures; told before anything sounds."""
    if to is not None and to.suffix.lower() != ".toml":
        raise UserError(f'--to {to}: a hall file\'s name ends in .toml, like "hall.toml".')
    if to is not None and name is None and not is_file(to):
        raise UserError(
            f"{to} is not there yet: name a hall to begin from, such as `hall-caller hall measure gym`."
        )
    target = Path(name) if to is None and name is not None and is_file(Path(name)) else to
    if target is not None:
        check_target(target, replace=True)
    return target


def _keep(found: Measurement, target: Path, name: str | None) -> None:
    if is_file(target):
        text = _text_of(target)
    elif name is not None and is_file(Path(name)):
        text = _text_of(Path(name))
    else:
        text = f'# Begun from a ready-made hall: write your own measures over it.\nlike = "{name}"\n'
    today = datetime.datetime.now().astimezone().date().isoformat()
    write_text(target, with_measured(text, found, on=today), replace=True)


def _text_of(path: Path) -> str:
    return decode(read_bytes(path, most_bytes=MAX_BYTES), path.name)


def _lines(found: Measurement, hall: Hall | None) -> Iterator[str]:
    """Yield the echo band by band, the index, and what follows for this hall."""
    if found.decays:
        yield "   Hz     T20     T30   above the noise"
        for each in found.decays:
            t20, t30 = ("  -   " if t is None else f"{t:4.2f} s" for t in (each.t20_s, each.t30_s))
            yield f"{each.frequency_hz:5.0f}  {t20}  {t30}  {each.range_db:3.0f} dB"
    if not found.good or found.quiet_sti is None:
        return
    sti = found.quiet_sti
    yield (
        f"In silence, the place of the microphone has STI {sti:.2f} ({word(sti)}): about"
        f" {round(10 * words_heard(sti))} words in 10."
    )
    yield from found.notes
    yield "The measurement is good."
    if hall is not None:
        yield ""
        yield from (f"- {each.text}" for each in report(with_measurement(hall, found)).advice)


def _plain(found: Measurement) -> dict[str, Any]:
    return {
        "good": found.good,
        "fault": found.fault,
        "notes": list(found.notes),
        "bands": [
            {"hz": each.frequency_hz, "range_db": each.range_db}
            | {name: getattr(each, name) for name in _HEARD_ABOUT}
            for each in found.decays
        ],
        "reverberation_s": found.reverberation_s,
        "quiet_sti": found.quiet_sti,
    }


def _plain_delay(arrival: SoundArrival | None) -> dict[str, Any]:
    if arrival is None:
        return {"loudspeaker": None, "sound_delay_ms": None}
    return {"loudspeaker": arrival.loudspeaker, "sound_delay_ms": round(1000 * arrival.late_s, 1)}

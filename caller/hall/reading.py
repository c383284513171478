"""Read a hall file, or a ready-made hall by its name."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path
from typing import TypeVar

from caller.errors import NotFoundError
from caller.file_reading import is_file
from caller.hall.bands import Bands
from caller.hall.hallfile import PRESETS, HallFile, NoisePart, preset_names
from caller.hall.model import (
    DIRECTIVITY,
    FIRST_ROW_M,
    Hall,
    Noise,
    Screen,
    Speaker,
    class_middle_m,
)
from caller.scripts.source import load, parse
from caller.scripts.tables import FilePlace, finish, read_source, suggestion

T = TypeVar("T")

_ENDING = ".toml"
_WIDE = 9.0 / math.hypot(16.0, 9.0)  # height of a 16:9 picture per diagonal
_INCH_M = 0.0254
_WALL_GAP_M = 0.5  # how far from the wall a speaker stands when the file does not say


def preset(name: str) -> Hall:
    """Return a ready-made hall.

    Raises
    ------
    NotFoundError
        If there is none of this name, with the nearest.
    """
    if name not in preset_names():
        raise NotFoundError(
            f'There is no ready-made hall called "{name}". {suggestion(name, preset_names())}'
        )
    return parse_hall(_preset_text(name), f"{name}.toml")


def read_hall(path: Path) -> Hall:
    """Read a hall file.

    Raises
    ------
    NotFoundError
        If there is no such file.
    ScriptProblems
        If it cannot be used, with every problem found, its place and how to mend it.
    """
    source = load(path)
    return _hall(*read_source(HallFile, source))


def find_hall(name: str, *, folder: Path) -> Hall:
    """Return the hall that `name` stands for: a file in `folder`, or a ready-made hall.

    A script may be a stranger's: whatever else it names is not opened, and nothing of it is told.

    Raises
    ------
    NotFoundError
        If there is neither, or the name is not a hall file's.
    ScriptProblems
        If the hall file cannot be used.
    """
    path = folder / name
    if path.suffix.lower() == _ENDING and is_file(path):
        return read_hall(path)
    if name in preset_names():
        return preset(name)
    if path.suffix and path.suffix.lower() != _ENDING:
        raise NotFoundError(f'"{name}" is not a hall file: the name of one ends in {_ENDING}.')
    raise NotFoundError(
        f'There is no hall file and no ready-made hall called "{name}". {suggestion(name, preset_names())}'
    )


def parse_hall(text: str, name: str) -> Hall:
    """Return the hall in the text of a hall file called `name`; errors as for `read_hall`."""
    return _hall(*read_source(HallFile, parse(text, name)))


def _preset_text(name: str) -> str:
    return PRESETS.joinpath(f"{name}.toml").read_text(encoding="utf-8")


def _hall(script: HallFile, place: FilePlace) -> Hall:
    if script.screen.image_height_m is not None and script.screen.diagonal_inches is not None:
        inside = place.inside("screen").inside("diagonal_inches")
        inside.report("the picture's size is here twice.", "Keep this or image_height_m.", at_key=True)
    if script.like is not None:
        base, _ = read_source(HallFile, parse(_preset_text(script.like), f"{script.like}.toml"))
        if script.length_m is not None:  # The ready-made rows need not fit a hall of another length.
            rows = dataclasses.replace(base.screen, first_row_m=None, last_row_m=None)
            base = dataclasses.replace(base, screen=rows)
        script = _over(script, base)
    for side, example in (("length_m", 24), ("width_m", 12), ("height_m", 6)):
        if getattr(script, side) is None and not {side, "like"} & place.source.data.keys():
            mend = f'Measure it and write {side} = {example}, or begin with like = "gym".'
            place.report(f"{side} is missing.", mend)
    finish(place)  # From here on, all three sides are known.
    screen = _screen(script)
    hall = Hall(
        name=script.name or "hall",
        length_m=_or(script.length_m, 0.0),
        width_m=_or(script.width_m, 0.0),
        height_m=_or(script.height_m, 0.0),
        floor=script.floor or (("sports-floor", 1.0),),
        walls=script.walls or (("painted-block", 1.0),),
        ceiling=script.ceiling or (("steel-deck", 1.0),),
        people=_or(script.people, 28),
        temperature_c=_or(script.temperature_c, 20.0),
        humidity_percent=_or(script.humidity_percent, 50.0),
        screen=screen,
        speaker=_speaker(script, screen),
        noise=_noise(script.noise),
        measured_reverberation_s=_seven(script.measured.reverberation_s, place),
        measured_quiet_sti=script.measured.quiet_sti,
    )
    _check(hall, place)
    finish(place)
    return hall


def _over(top: T, base: T) -> T:
    """Return `top` with what it leaves open taken from `base`, table by table."""
    values = {}
    for field in dataclasses.fields(top):  # type: ignore[arg-type]
        mine, theirs = getattr(top, field.name), getattr(base, field.name)
        values[field.name] = _over(mine, theirs) if dataclasses.is_dataclass(mine) else _or(mine, theirs)
    return dataclasses.replace(top, **values)  # type: ignore[type-var]


def _or(value: T | None, otherwise: T) -> T:
    return otherwise if value is None else value


def _screen(script: HallFile) -> Screen:
    part, length = script.screen, _or(script.length_m, 0.0)
    height = part.image_height_m
    if part.diagonal_inches is not None:  # Ready-made halls give heights, so a diagonal is the file's own.
        height = part.diagonal_inches * _INCH_M * _WIDE
    last = _or(part.last_row_m, 0.75 * length)
    return Screen(
        image_height_m=_or(height, 1.5),
        first_row_m=_or(part.first_row_m, min(FIRST_ROW_M, last / 2.0)),
        last_row_m=last,
    )


def _speaker(script: HallFile, screen: Screen) -> Speaker:
    part, width = script.speaker, _or(script.width_m, 0.0)
    return Speaker(
        at_m=(
            _or(part.from_screen_wall_m, _WALL_GAP_M),
            _or(part.from_left_wall_m, width / 3.0),
            _or(part.height_m, 1.8),
        ),
        aim_m=class_middle_m(width, screen),
        directivity=DIRECTIVITY[_or(part.kind, "pa-box")],
        level_at_1m_dba=_or(part.level_at_1m_dba, 80.0),
    )


def _noise(part: NoisePart) -> Noise:
    background = _or(part.background_dba, 45.0)
    listening = _or(part.listening_dba, max(60.0, background))
    return Noise(
        background_dba=background,
        listening_dba=listening,
        working_dba=_or(part.working_dba, max(75.0, listening)),
    )


def _seven(times_s: tuple[float, ...] | None, place: FilePlace) -> Bands | None:
    if times_s is None:
        return None
    if len(times_s) != 7:
        inside = place.inside("measured").inside("reverberation_s")
        inside.report(
            f"this has {len(times_s)} times.", "Write seven, for 125, 250, 500, 1000, 2000, 4000 and 8000 Hz."
        )
        return None
    a, b, c, d, e, f, g = times_s
    return (a, b, c, d, e, f, g)


def _check(hall: Hall, place: FilePlace) -> None:
    """Report what each value allows on its own, but not together with the others."""
    screen, speaker, noise = hall.screen, hall.speaker, hall.noise
    _least(
        place, "screen", "last_row_m", screen.last_row_m, hall.length_m, "the hall is only {limit:g} m long."
    )
    _least(
        place,
        "screen",
        "first_row_m",
        screen.first_row_m,
        screen.last_row_m,
        "the last row is at {limit:g} m.",
    )
    inside = "that is outside the hall, which ends at {limit:g} m."
    for name, at_m, limit in zip(
        ("from_screen_wall_m", "from_left_wall_m", "height_m"),
        speaker.at_m,
        (hall.length_m, hall.width_m, hall.height_m),
        strict=True,
    ):
        _least(place, "speaker", name, at_m, limit, inside)
    louder = "the class listening is {limit:g} dB(A), and the hall empty cannot be louder."
    _least(place, "noise", "background_dba", noise.background_dba, noise.listening_dba, louder)
    louder = "the class at work is {limit:g} dB(A), and listening cannot be louder."
    _least(place, "noise", "listening_dba", noise.listening_dba, noise.working_dba, louder)


def _least(place: FilePlace, table: str, name: str, value: float, limit: float, what: str) -> None:
    if value > limit:
        inside = place.inside(table).inside(name)
        inside.report(f"{value:g} is too much: {what.format(limit=limit)}", f"Write at most {limit:g}.")

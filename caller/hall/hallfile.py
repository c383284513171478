"""What a hall file may hold, key by key, and reading one, or a ready-made hall by its name."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar, get_args

from caller.errors import NotFoundError
from caller.file_reading import is_file
from caller.hall import (
    DIRECTIVITY,
    FIRST_ROW_M,
    Covering,
    Hall,
    HallScreen,
    HallSpeaker,
    Loudspeakers,
    Noise,
    class_middle_m,
    materials,
)
from caller.hall.bands import Bands
from caller.scripts.kinds import Known, ListOf, Number, OneOf, TableOf, Text, Whole
from caller.scripts.source import load, parse
from caller.scripts.tables import FilePlace, Misfit, ValueKind, finish, key, read_source, suggestion

# ruff: noqa: RUF009 - `key` only describes a field; it is called once, and what it returns is never changed.


PRESETS = files("caller.hall").joinpath("presets")


def preset_names() -> list[str]:
    """Return the names of the ready-made halls."""
    return sorted(
        entry.name.removesuffix(".toml") for entry in PRESETS.iterdir() if entry.name.endswith(".toml")
    )


@dataclass(frozen=True, slots=True)
class CoveringKind(ValueKind[Covering]):
    """What a surface is made of: one material, or several with their shares."""

    def read(self, value: object, place: FilePlace) -> Covering:
        """Return material names and shares that add up to 1."""
        known = Known("material", materials)
        if not isinstance(value, Mapping):
            return ((known.read(value, place), 1.0),)
        share = Number(0.0, 1.0, "of the surface")
        covering: list[tuple[str, float]] = []
        for name, part in value.items():
            inside = place.inside(name)
            try:
                covering.append((known.read(name, inside), share.read(part, inside)))
            except Misfit as misfit:
                inside.report(misfit.what, misfit.mend)
        total = sum(part for _, part in covering)
        if len(covering) == len(value) and not math.isclose(total, 1.0, abs_tol=0.005):
            raise Misfit(f"the shares add up to {total:g}.", "Make them add up to 1.")
        return tuple((name, part / total) for name, part in covering if total > 0.0)

    def write(self, value: Covering) -> Any:
        """Return the one material, or a table of shares."""
        return value[0][0] if len(value) == 1 else dict(value)

    def schema(self) -> dict[str, Any]:
        """Return a name, or an object of shares."""
        names = list(materials())
        shares = {name: {"type": "number", "minimum": 0, "maximum": 1} for name in names}
        return {
            "anyOf": [
                {"enum": names},
                {"type": "object", "properties": shares, "additionalProperties": False},
            ]
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeakerPart:
    """[speaker]."""

    kind: str | None = key(None, Known("speaker", lambda: DIRECTIVITY), "what kind of speaker it is")
    level_at_1m_dba: float | None = key(
        None, Number(40.0, 110.0, "dB(A)"), "how loud its speech is 1 m in front of it, dB(A)"
    )
    from_screen_wall_m: float | None = key(None, Number(0.0, 100.0, "m"), "how far from the screen's wall, m")
    from_left_wall_m: float | None = key(
        None, Number(0.0, 100.0, "m"), "how far from the left wall, facing the screen, m"
    )
    height_m: float | None = key(None, Number(0.0, 30.0, "m"), "how high it stands or hangs, m")


@dataclass(frozen=True, slots=True, kw_only=True)
class ScreenPart:
    """[screen]."""

    image_height_m: float | None = key(None, Number(0.1, 10.0, "m"), "how high the picture is, m")
    diagonal_inches: float | None = key(
        None, Number(10.0, 300.0, "inches"), "a television's or laptop's size, instead of image_height_m"
    )
    first_row_m: float | None = key(None, Number(0.5, 50.0, "m"), "from the screen to the nearest child, m")
    last_row_m: float | None = key(None, Number(1.0, 100.0, "m"), "from the screen to the last row, m")


@dataclass(frozen=True, slots=True, kw_only=True)
class NoisePart:
    """[noise]."""

    background_dba: float | None = key(None, Number(10.0, 90.0, "dB(A)"), "the empty hall, dB(A)")
    listening_dba: float | None = key(None, Number(20.0, 100.0, "dB(A)"), "the class listening, dB(A)")
    working_dba: float | None = key(None, Number(20.0, 110.0, "dB(A)"), "the class moving, dB(A)")


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredPart:
    """[measured]."""

    reverberation_s: tuple[float, ...] | None = key(
        None, ListOf(Number(0.1, 15.0, "s"), 7), "reverberation times at 125, 250, 500, 1k, 2k, 4k, 8k Hz, s"
    )
    quiet_sti: float | None = key(
        None, Number(0.0, 1.0), "STI of the impulse response at the last row, no noise"
    )
    on: str | None = key(None, Text(40), "the day it was measured")


@dataclass(frozen=True, slots=True, kw_only=True)
class HallFile:
    """A hall file: what it may hold. Nothing is computed."""

    name: str | None = key(None, Text(80), "what the hall is called")
    like: str | None = key(None, Known("ready-made hall", preset_names), "a ready-made hall to begin from")
    length_m: float | None = key(None, Number(2.0, 100.0, "m"), "from the screen's wall to the far wall, m")
    width_m: float | None = key(None, Number(2.0, 100.0, "m"), "the screen's wall, m")
    height_m: float | None = key(None, Number(2.0, 30.0, "m"), "floor to ceiling, m")
    floor: Covering | None = key(None, CoveringKind(), "what the floor is made of")
    walls: Covering | None = key(None, CoveringKind(), "what the walls are made of")
    ceiling: Covering | None = key(None, CoveringKind(), "what the ceiling is made of")
    people: int | None = key(None, Whole(0, 500, "people"), "how many people are in it")
    temperature_c: float | None = key(None, Number(-10.0, 45.0, "°C"), "the air's temperature, °C")
    humidity_percent: float | None = key(None, Number(5.0, 100.0, "%"), "the air's relative humidity, %")
    loudspeakers: Loudspeakers | None = key(
        None,
        OneOf(get_args(Loudspeakers)),
        "two, left and right of the screen: what is said of a side then comes from that side",
    )
    speaker: SpeakerPart = key(SpeakerPart(), TableOf(SpeakerPart), "the loudspeaker")
    screen: ScreenPart = key(ScreenPart(), TableOf(ScreenPart), "the picture and the rows")
    noise: NoisePart = key(NoisePart(), TableOf(NoisePart), "how loud the hall and the class are")
    measured: MeasuredPart = key(MeasuredPart(), TableOf(MeasuredPart), "what was measured in this hall")


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
        loudspeakers=script.loudspeakers or "one",
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


def _screen(script: HallFile) -> HallScreen:
    part, length = script.screen, _or(script.length_m, 0.0)
    height = part.image_height_m
    if part.diagonal_inches is not None:  # Ready-made halls give heights, so a diagonal is the file's own.
        height = part.diagonal_inches * _INCH_M * _WIDE
    last = _or(part.last_row_m, 0.75 * length)
    return HallScreen(
        image_height_m=_or(height, 1.5),
        first_row_m=_or(part.first_row_m, min(FIRST_ROW_M, last / 2.0)),
        last_row_m=last,
    )


def _speaker(script: HallFile, screen: HallScreen) -> HallSpeaker:
    part, width = script.speaker, _or(script.width_m, 0.0)
    return HallSpeaker(
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

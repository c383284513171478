"""What a hall file may hold, key by key. Nothing is computed here."""
# ruff: noqa: RUF009 - `key` only describes a field; it is called once, and what it returns is never changed.

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from caller.hall.materials import materials
from caller.hall.model import DIRECTIVITY, Covering
from caller.scripts.kinds import Known, ListOf, Number, TableOf, Text, Whole
from caller.scripts.tables import FilePlace, Misfit, ValueKind, key

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
    speaker: SpeakerPart = key(SpeakerPart(), TableOf(SpeakerPart), "the loudspeaker")
    screen: ScreenPart = key(ScreenPart(), TableOf(ScreenPart), "the picture and the rows")
    noise: NoisePart = key(NoisePart(), TableOf(NoisePart), "how loud the hall and the class are")
    measured: MeasuredPart = key(MeasuredPart(), TableOf(MeasuredPart), "what was measured in this hall")

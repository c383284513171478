"""A hall as data: the room and what it is made of, speaker, screen, noise, and what was measured there.

The floor is a rectangle seen from above. The screen stands in the middle of the wall x = 0; x runs along
the length away from it, y across the width, z up from the floor. Children face the screen.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal, TypeAlias

import numpy as np

from caller.hall.bands import Bands, FloatArray

# Absorption area of one standing child (m²) in the seven bands: 60-80 % of a standing adult's (from
# memory).
CHILD_M2: Bands = (0.12, 0.20, 0.30, 0.38, 0.42, 0.42, 0.42)


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A surface: its absorption coefficients at 125 Hz to 8 kHz, and how far they can be trusted."""

    name: str
    label: str
    absorption: Bands
    source: str
    status: str


@cache
def materials() -> Mapping[str, Material]:
    """Return every known material by its name."""
    text = files("caller.hall").joinpath("materials.toml").read_text(encoding="utf-8")
    table = {
        name: Material(
            name=name,
            label=row["label"],
            absorption=tuple(row["absorption"]),
            source=row["source"],
            status=row["status"],
        )
        for name, row in tomllib.loads(text).items()
    }
    return MappingProxyType(table)


Point: TypeAlias = tuple[float, float, float]
Loudspeakers: TypeAlias = Literal["one", "two"]
Covering: TypeAlias = tuple[tuple[str, float], ...]  # material name and its share of the surface

EAR_HEIGHT_M = 1.1  # A standing six-year-old's ear; judgement from growth charts (stature about 1.15-1.2 m).
FIRST_ROW_M = 3.0  # Nobody stands closer to the screen than this unless the hall says so.

# How large the lesson's screen draws the dial on a 16:9 picture: tests hold these against the drawing.
DIAL_RADIUS_PER_IMAGE_HEIGHT = 0.3302
SMALLER_DIALS = MappingProxyType({"three choices": 0.2081, "two dials": 0.1752})

# Directivity factor Q on the axis in the seven bands. Judgement: a box is nearly round at low frequencies
# and narrows as the wavelength falls under its width; makers' data sheets give the exact figures.
DIRECTIVITY: Mapping[str, Bands] = MappingProxyType(
    {
        "all-round": (1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0),
        "laptop": (1.0, 1.0, 1.0, 1.5, 2.0, 3.0, 4.0),
        "small-box": (1.0, 1.5, 2.0, 3.0, 5.0, 6.0, 8.0),
        "pa-box": (1.5, 2.0, 3.0, 5.0, 7.0, 9.0, 10.0),
        "column": (2.0, 3.0, 5.0, 8.0, 10.0, 12.0, 14.0),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class HallSpeaker:
    """A loudspeaker: where it stands, where it points, and how loud its speech is 1 m in front of it."""

    at_m: Point
    aim_m: Point
    directivity: Bands
    level_at_1m_dba: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HallScreen:
    """A picture `image_height_m` high; the class stands between the first and the last row from it."""

    image_height_m: float
    last_row_m: float
    first_row_m: float = FIRST_ROW_M
    dial_radius_per_image_height: float = DIAL_RADIUS_PER_IMAGE_HEIGHT

    @property
    def dial_radius_m(self) -> float:
        """The radius of the dial as the class sees it."""
        return self.image_height_m * self.dial_radius_per_image_height


def class_middle_m(width_m: float, screen: HallScreen) -> Point:
    """Return the middle of the class at a standing child's ear: where a speaker should point."""
    return ((screen.first_row_m + screen.last_row_m) / 2.0, width_m / 2.0, EAR_HEIGHT_M)


@dataclass(frozen=True, slots=True, kw_only=True)
class Noise:
    """A-weighted levels in the hall: empty, with the class listening, and with the class at work."""

    background_dba: float = 45.0
    listening_dba: float = 60.0
    working_dba: float = 75.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Hall:
    """A hall and its set-up. All lengths in metres, all levels in dB re 20 µPa."""

    name: str
    length_m: float
    width_m: float
    height_m: float
    floor: Covering
    walls: Covering
    ceiling: Covering
    speaker: HallSpeaker
    screen: HallScreen
    people: int = 28
    noise: Noise = field(default_factory=Noise)
    temperature_c: float = 20.0
    humidity_percent: float = 50.0
    measured_reverberation_s: Bands | None = None
    loudspeakers: Loudspeakers = "one"  # two: left and right of the screen
    measured_quiet_sti: float | None = None  # from an impulse response at the last row: no noise in it

    @property
    def volume_m3(self) -> float:
        """The room's volume."""
        return self.length_m * self.width_m * self.height_m

    @property
    def surfaces(self) -> tuple[tuple[str, float, Covering], ...]:
        """The floor, the walls and the ceiling: what each is called, its area (m²) and its covering."""
        plan = self.length_m * self.width_m
        walls = 2.0 * (self.length_m + self.width_m) * self.height_m
        return (("floor", plan, self.floor), ("walls", walls, self.walls), ("ceiling", plan, self.ceiling))

    @property
    def surface_m2(self) -> float:
        """The area of the floor, the walls and the ceiling together."""
        return sum(area for _, area, _ in self.surfaces)


def surface_absorption_m2(hall: Hall) -> dict[str, FloatArray]:
    """Return the absorption area (m²) in the seven bands of each surface, and of the children."""
    table = materials()
    areas = {
        name: np.asarray(
            area * sum(share * np.asarray(table[material].absorption) for material, share in covering)
        )
        for name, area, covering in hall.surfaces
    }
    areas["children"] = children_absorb_m2(hall)
    return areas


def children_absorb_m2(hall: Hall) -> FloatArray:
    """Return the absorption area (m²) in the seven bands of the people in a hall."""
    return np.asarray(hall.people * np.asarray(CHILD_M2))

"""A plain chair and a wheelchair, as strokes in body units around a seated figure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin
from typing import Final

Point3 = tuple[float, float, float]

_CHAIR_HALF_WIDTH: Final = 0.115
_WHEEL_RADIUS: Final = 0.215
_RIM_SEGMENTS: Final = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A line through points, drawn with a round pen."""

    points: Sequence[Point3]
    width: float
    near: bool = False  # over the figure rather than behind it
    dark: bool = False  # tyre or seat rather than frame


def _wheel(side: float, radius: float, centre_y: float, centre_z: float) -> tuple[Point3, ...]:
    turns = [2 * pi * step / _RIM_SEGMENTS for step in range(_RIM_SEGMENTS + 1)]
    return tuple((side, centre_y + radius * sin(turn), centre_z + radius * cos(turn)) for turn in turns)


def chair(seat: float) -> tuple[Stroke, ...]:
    """Return a chair whose seat is `seat` above the floor."""
    half, front, back, top = _CHAIR_HALF_WIDTH, 0.10, -0.11, seat + 0.26
    level = seat - 0.014
    strokes = [
        Stroke(points=((x, 0.008, z * 1.12), (x * 0.95, level, z)), width=0.018)
        for x in (-half, half)
        for z in (front, back)
    ]
    strokes += [
        Stroke(points=((x * 0.95, level, back), (x * 0.95, top, back - 0.035)), width=0.018)
        for x in (-half, half)
    ]
    strokes += [
        Stroke(points=((-half, level, z), (half, level, z)), width=0.026, dark=True)
        for z in (back, back / 2, 0.0, front / 2, front)
    ]
    strokes += [
        Stroke(points=((-half, y, z), (half, y, z)), width=0.03, dark=True)
        for y, z in ((top - 0.015, back - 0.034), (top - 0.075, back - 0.026))
    ]
    return tuple(strokes)


def wheelchair(seat: float) -> tuple[Stroke, ...]:
    """Return a manual wheelchair whose seat is `seat` above the floor."""
    half, axle_z = 0.125, -0.055
    level = seat - 0.014
    strokes: list[Stroke] = []
    for side in (-1.0, 1.0):
        x, near = side * (half + 0.02), side < 0
        strokes += [
            Stroke(points=_wheel(x, _WHEEL_RADIUS, _WHEEL_RADIUS, axle_z), width=0.02, near=near, dark=True),
            Stroke(
                points=_wheel(x * 1.08, _WHEEL_RADIUS - 0.03, _WHEEL_RADIUS, axle_z), width=0.007, near=near
            ),
            Stroke(points=_wheel(side * half * 0.8, 0.04, 0.04, 0.20), width=0.018, dark=True),
            Stroke(
                points=(
                    (side * half, level, -0.11),
                    (side * half, seat + 0.25, -0.14),
                    (side * half, seat + 0.25, -0.19),
                ),
                width=0.016,
            ),
            Stroke(
                points=(
                    (side * half, level, -0.11),
                    (side * half, level, 0.13),
                    (side * half * 0.7, 0.03, 0.24),
                ),
                width=0.016,
            ),
            Stroke(points=((side * half * 0.8, level, 0.12), (side * half * 0.8, 0.07, 0.20)), width=0.014),
        ]
        strokes += [
            Stroke(
                points=(
                    (x, _WHEEL_RADIUS, axle_z),
                    (x, _WHEEL_RADIUS + _WHEEL_RADIUS * sin(turn), axle_z + _WHEEL_RADIUS * cos(turn)),
                ),
                width=0.004,
                near=near,
            )
            for turn in (pi * step / 4 for step in range(8))
        ]
    strokes += [
        Stroke(points=((-half, level, z), (half, level, z)), width=0.026, dark=True)
        for z in (-0.1, -0.05, 0.0, 0.05, 0.1)
    ]
    strokes += [
        Stroke(points=((-half, y, -0.125), (half, y, -0.125)), width=0.05, dark=True)
        for y in (seat + 0.09, seat + 0.15, seat + 0.21)
    ]
    strokes += [Stroke(points=((-half * 0.7, 0.02, 0.24), (half * 0.7, 0.02, 0.24)), width=0.022, dark=True)]
    return tuple(strokes)

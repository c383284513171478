"""A plain chair and a wheelchair, as strokes in body units around a seated figure."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import cos, pi, sin
from typing import Final

import numpy as np
from numpy.typing import NDArray

Point3 = tuple[float, float, float]
Line = tuple[Point3, ...]

_CHAIR_HALF_WIDTH: Final = 0.115
_WHEEL_RADIUS: Final = 0.215
_RIM_SEGMENTS: Final = 40


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strokes:
    """Lines drawn with one round pen.

    Attributes
    ----------
    points
        Every line's points after one another, shape (n, 3), in body units.
    lengths
        How many of them belong to each line.
    width
        Of the pen, in body units.
    near
        Over the figure rather than behind it.
    dark
        Tyre or cushion rather than frame.
    """

    points: NDArray[np.float64]
    lengths: tuple[int, ...]
    width: float
    near: bool
    dark: bool


def _strokes(*lines: Line, width: float, near: bool = False, dark: bool = False) -> Strokes:
    points = np.array([point for line in lines for point in line])
    return Strokes(points=points, lengths=tuple(map(len, lines)), width=width, near=near, dark=dark)


def _wheel(side: float, radius: float, centre_y: float, centre_z: float) -> Line:
    turns = [2 * pi * step / _RIM_SEGMENTS for step in range(_RIM_SEGMENTS + 1)]
    return tuple((side, centre_y + radius * sin(turn), centre_z + radius * cos(turn)) for turn in turns)


@cache
def chair(seat: float) -> tuple[Strokes, ...]:
    """Return a chair whose seat is `seat` above the floor."""
    half, front, back, top = _CHAIR_HALF_WIDTH, 0.10, -0.11, seat + 0.26
    level = seat - 0.014
    legs = [((x, 0.008, z * 1.12), (x * 0.95, level, z)) for x in (-half, half) for z in (front, back)]
    posts = [((x * 0.95, level, back), (x * 0.95, top, back - 0.035)) for x in (-half, half)]
    seat_slats = [((-half, level, z), (half, level, z)) for z in (back, back / 2, 0.0, front / 2, front)]
    back_slats = [
        ((-half, y, z), (half, y, z)) for y, z in ((top - 0.015, back - 0.034), (top - 0.075, back - 0.026))
    ]
    return (
        _strokes(*legs, *posts, width=0.018),
        _strokes(*seat_slats, *back_slats, width=0.028, dark=True),
    )


@cache
def wheelchair(seat: float) -> tuple[Strokes, ...]:
    """Return a manual wheelchair whose seat is `seat` above the floor."""
    half, axle_z = 0.125, -0.055
    level = seat - 0.014
    strokes: list[Strokes] = []
    for side in (-1.0, 1.0):
        # The figure's right side is the near one in every view.
        x, frame, near = side * (half + 0.02), side * half, side < 0
        spokes = [
            ((x, _WHEEL_RADIUS, axle_z), rim) for rim in _wheel(x, _WHEEL_RADIUS, _WHEEL_RADIUS, axle_z)[::5]
        ]
        strokes += [
            _strokes(_wheel(x, _WHEEL_RADIUS, _WHEEL_RADIUS, axle_z), width=0.02, near=near, dark=True),
            _strokes(_wheel(x * 1.08, _WHEEL_RADIUS - 0.03, _WHEEL_RADIUS, axle_z), width=0.007, near=near),
            _strokes(*spokes, width=0.004, near=near),
            _strokes(_wheel(frame * 0.8, 0.04, 0.04, 0.20), width=0.018, dark=True),
            _strokes(
                ((frame, level, -0.11), (frame, seat + 0.25, -0.14), (frame, seat + 0.25, -0.19)),
                ((frame, level, -0.11), (frame, level, 0.13), (frame * 0.7, 0.03, 0.24)),
                ((frame * 0.8, level, 0.12), (frame * 0.8, 0.07, 0.20)),
                width=0.016,
            ),
        ]
    cushion = [((-half, level, z), (half, level, z)) for z in (-0.1, -0.05, 0.0, 0.05, 0.1)]
    rest = [((-half, y, -0.125), (half, y, -0.125)) for y in (seat + 0.09, seat + 0.15, seat + 0.21)]
    footplate = ((-half * 0.7, 0.02, 0.24), (half * 0.7, 0.02, 0.24))
    return (
        *strokes,
        _strokes(*cushion, footplate, width=0.025, dark=True),
        _strokes(*rest, width=0.05, dark=True),
    )

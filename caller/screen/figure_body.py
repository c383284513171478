"""A posed body as parts, each a few rounded shapes at one depth; and the chair or wheelchair it sits on.

Limbs grow out of the trunk without a seam: a part's own line, which parts it from what lies behind, begins
only some way along the limb, and the line round the whole figure is drawn once, under everything.

Breadths are those of a child of seven (Snyder et al. 1977, clothed); hands and head a little larger, as a
matter of style, because they are what a class looks at.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import cos, hypot, pi, sin
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.moves.poses import Joint, Works
from caller.moves.poses.skeleton import ANKLE_HEIGHT, BALL_AHEAD, HEEL_BACK
from caller.screen.figure_heads import Circle, Fill, head_fills
from caller.screen.figure_looks import Colour, FigureColours, Look, Placement, Spot, mixed

# Radii in body units, at the two ends of each limb.
_UPPER_ARM: Final = (0.034, 0.026)
_FOREARM: Final = (0.026, 0.019)
_PALM, _FINGERS, _THUMB = 0.023, 0.018, 0.0105
_THIGH: Final = (0.049, 0.037)
_SHANK: Final = (0.036, 0.023)
_HEEL, _TOES = 0.023, 0.019
_SHOULDERS, _SEAT = 0.044, 0.049
_NECK: Final = 0.030

# The trunk between hips and shoulders: joint, share of the hips in its width, radius.
_WAIST: Final = (Joint.WAIST, 0.8, 0.046)
_RIBS: Final = (Joint.SPINE, 0.55, 0.050)

# Clothes: how far a sleeve and a trouser leg reach along the limb when short.
_SLEEVE, _LEG = 0.55, 0.7

# Where along it a thigh comes out of the trunk's clothes: its round end would lie over the shirt's hem.
_GROIN: Final = 0.2

# Where along upper arm and thigh the limb's own line begins.
_FREE: Final = 0.62

_HELD_OUT: Final = 0.05  # a hand so much before its arm

_STEEL: Final = 0xFF8C96A3  # of a prosthesis

# Limbs fade with their distance behind the trunk: from, over (body units), and how much at most.
_FADE_FROM, _FADE_OVER, _FADE = 0.02, 0.06, 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Shapes that move together. Larger depth is nearer.

    Attributes
    ----------
    fills
        What is painted, back to front.
    edge
        Round what the part's own line runs; the fills cover all of it but the line.
    """

    depth: float
    fills: list[Fill]
    edge: list[list[Circle]]


class Body:
    """One pose on the picture."""

    def __init__(
        self,
        spots: Sequence[Spot],
        placement: Placement,
        look: Look,
        colours: FigureColours,
        *,
        works: Works = "none",
        drag: tuple[float, float] = (0.0, 0.0),
    ) -> None:
        self._spots = spots
        self._placement = placement
        self._look = look
        self._shade, self._accent = colours.shade, colours.accent
        self._works, self._drag = works, drag
        self._trunk_depth = (spots[Joint.PELVIS][2] + spots[Joint.NECK][2]) / 2

    def parts(self) -> list[Part]:
        """Return every part, farthest first."""
        limbs = [limb for side in ("L", "R") for limb in (self._leg(side), *self._arm(side))]
        return sorted([self._trunk(), self._head(), *limbs], key=lambda part: part.depth)

    def _circle(
        self, joint: Joint, radius: float, towards: Joint | None = None, share: float = 0.0
    ) -> Circle:
        x, y, _ = self._spots[joint]
        if towards is not None:
            to_x, to_y, _ = self._spots[towards]
            x, y = x + share * (to_x - x), y + share * (to_y - y)
        return (x, y, radius * self._placement.height * self._look.breadth)

    def _shaded(self, colour: Colour, depth: float) -> Colour:
        behind = min(max((self._trunk_depth - depth - _FADE_FROM) / _FADE_OVER, 0.0), 1.0)
        return mixed(colour, self._shade, _FADE * behind) if behind else colour

    def _across(self, level: tuple[Joint, float, float]) -> list[Circle]:
        """Return the trunk's two sides at one level, between the lines of the hips and of the shoulders."""
        joint, hips, radius = level
        x, y, size = self._circle(joint, radius)
        pelvis, neck = self._spots[Joint.PELVIS], self._spots[Joint.NECK]
        ends = []
        for hip, shoulder in ((Joint.HIP_L, Joint.SHOULDER_L), (Joint.HIP_R, Joint.SHOULDER_R)):
            low, high = self._spots[hip], self._spots[shoulder]
            aside, along = (
                hips * (low[axis] - pelvis[axis]) + (1 - hips) * 0.5 * (high[axis] - neck[axis])
                for axis in (0, 1)
            )
            ends.append((x + aside, y + along, size))
        return ends

    def _trunk(self) -> Part:
        look = self._look
        waist, ribs = self._across(_WAIST), self._across(_RIBS)
        hips = [self._circle(Joint.HIP_L, _SEAT), self._circle(Joint.HIP_R, _SEAT)]
        shoulders = [
            self._circle(shoulder, _SHOULDERS, Joint.NECK, 0.3)
            for shoulder in (Joint.SHOULDER_L, Joint.SHOULDER_R)
        ]
        fills: list[Fill] = [
            (look.skin, [self._circle(Joint.NECK, _NECK), self._circle(Joint.HEAD, _NECK)]),
            (look.bottoms, waist + hips[::-1]),
            (look.shirt, [waist[0], ribs[0], shoulders[0], shoulders[1], ribs[1], waist[1]]),
            (look.shirt, [self._circle(Joint.NECK, _NECK * 1.15, Joint.THROAT, 0.15)]),
            (
                look.skin,
                [self._circle(Joint.NECK, _NECK, Joint.THROAT, 0.5), self._circle(Joint.HEAD, _NECK)],
            ),
        ]
        return Part(depth=self._trunk_depth, fills=fills, edge=[fills[2][1]])

    def _head(self) -> Part:
        throat, head, face = (self._spots[joint] for joint in (Joint.THROAT, Joint.HEAD, Joint.FACE))
        # A head that leans back still hides the neck.
        depth = max(head[2], self._trunk_depth) + 0.01
        shape, features = head_fills(throat, head, face, self._placement, self._look, self._drag)
        return Part(depth=depth, fills=shape + features, edge=[circles for _, circles in shape])

    def _arm(self, side: str) -> list[Part]:
        look = self._look
        shoulder, elbow, wrist, hand = (
            Joint[f"{name}_{side}"] for name in ("SHOULDER", "ELBOW", "WRIST", "HAND")
        )
        depth = (self._spots[elbow][2] + self._spots[wrist][2]) / 2
        sleeve, skin = self._shaded(look.shirt, depth), self._shaded(look.skin, depth)
        cover = sleeve if look.long_sleeves else skin
        palm = [self._circle(wrist, _PALM, hand, 0.3), self._circle(wrist, _FINGERS, hand, 0.95)]
        fingers: list[Fill] = [(skin, self._thumb(wrist, hand)), (skin, palm)]
        forearm: list[Fill] = [(cover, [self._circle(elbow, _FOREARM[0]), self._circle(wrist, _FOREARM[1])])]
        upper: list[Fill] = [
            (cover, [self._circle(shoulder, _UPPER_ARM[0]), self._circle(elbow, _UPPER_ARM[1])])
        ]
        free = self._circle(shoulder, _UPPER_ARM[1] + 0.004, elbow, _FREE)
        edge = [circles for _, circles in fingers + forearm] + [[free, self._circle(elbow, _UPPER_ARM[1])]]
        if not look.long_sleeves:
            hem = self._circle(shoulder, _UPPER_ARM[1] + 0.008, elbow, _SLEEVE)
            upper.append((sleeve, [self._circle(shoulder, _UPPER_ARM[0] + 0.004), hem]))
        marked: list[Fill] = []
        if self._works in ("arms", "both"):
            band = self._circle(elbow, _FOREARM[1] + 0.006, wrist, 0.5)
            marked = [(self._shaded(self._accent, depth), [band, self._circle(wrist, _FOREARM[1] + 0.004)])]
        # An arm that hangs level with the trunk belongs in front of it.
        depth += 0.02
        if not self._towards_us(elbow, hand):
            fills = [*fingers, *forearm, *upper, *marked]
            return [Part(depth=depth, fills=fills, edge=edge)]
        return [
            Part(depth=depth, fills=[*forearm, *upper, *marked], edge=edge[2:]),
            Part(depth=depth + _HELD_OUT, fills=fingers, edge=edge[:2]),
        ]

    def _towards_us(self, elbow: Joint, hand: Joint) -> bool:
        """Tell whether a forearm points at us rather than aside: the hand lies over it then."""
        x0, y0, depth0 = self._spots[elbow]
        x1, y1, depth1 = self._spots[hand]
        return (depth1 - depth0) * self._placement.height > hypot(x1 - x0, y1 - y0)

    def _thumb(self, wrist: Joint, hand: Joint) -> list[Circle]:
        """Return a thumb that stands off the hand on the side of the face: hands are held thumbs up or in."""
        x0, y0, _ = self._spots[wrist]
        x1, y1, _ = self._spots[hand]
        face_x, face_y, _ = self._spots[Joint.FACE]
        length = max(hypot(x1 - x0, y1 - y0), 1e-6)
        across_x, across_y = -(y1 - y0) / length, (x1 - x0) / length
        if across_x * (face_x - x0) + across_y * (face_y - y0) < 0:
            across_x, across_y = -across_x, -across_y
        size = self._placement.height * self._look.breadth
        root = (x0 + 0.3 * (x1 - x0), y0 + 0.3 * (y1 - y0), _THUMB * size)
        reach = 0.032 * size
        tip = (
            x0 + 0.62 * (x1 - x0) + reach * across_x,
            y0 + 0.62 * (y1 - y0) + reach * across_y,
            0.9 * _THUMB * size,
        )
        return [root, tip]

    def _leg(self, side: str) -> Part:
        look = self._look
        hip, knee, ankle, heel, ball, toe = (
            Joint[f"{name}_{side}"] for name in ("HIP", "KNEE", "ANKLE", "HEEL", "BALL", "TOE")
        )
        depth = (self._spots[knee][2] + self._spots[ankle][2]) / 2
        bottoms, skin = self._shaded(look.bottoms, depth), self._shaded(look.skin, depth)
        cover = bottoms if look.long_legs else skin
        fills: list[Fill] = [
            (cover, [self._circle(knee, _SHANK[0]), self._circle(ankle, _SHANK[1])]),
            (cover, [self._circle(hip, _THIGH[0], knee, _GROIN), self._circle(knee, _THIGH[1])]),
        ]
        if not look.long_legs:
            hem = self._circle(hip, _THIGH[1] + 0.01, knee, _LEG)
            fills.append((bottoms, [self._circle(hip, _THIGH[0] + 0.003, knee, _GROIN), hem]))
        free = self._circle(hip, _THIGH[1] + 0.006, knee, _FREE)
        edge = [fills[0][1], [free, self._circle(knee, _THIGH[1])]]
        if self._works in ("legs", "both") and look.blade != side:
            band = self._circle(knee, _SHANK[1] + 0.009, ankle, 0.5)
            fills.append((self._shaded(self._accent, depth), [band, self._circle(ankle, _SHANK[1] + 0.003)]))
        shoe = self._shaded(look.shoes, depth)
        rise = self._rise(ankle, heel, ball)
        back, middle, front = (
            self._on_sole(joint, radius, rise)
            for joint, radius in ((heel, _HEEL), (ball, _TOES), (toe, _TOES))
        )
        fills += [
            (shoe, [back, self._circle(ankle, _SHANK[1])]),
            (shoe, [back, middle]),
            (shoe, [middle, front]),
        ]
        edge += [circles for _, circles in fills[-3:]]
        if look.blade == side:
            fills[0] = (_STEEL, [self._circle(knee, 0.014, ankle, 0.25), self._circle(ankle, 0.011)])
            fills.insert(1, (_STEEL, [self._circle(knee, 0.026), self._circle(knee, 0.02, ankle, 0.3)]))
            edge[0] = fills[0][1]
        # A leg under the trunk belongs behind it.
        return Part(depth=depth - 0.03, fills=fills, edge=edge)

    def _rise(self, ankle: Joint, heel: Joint, ball: Joint) -> tuple[float, float]:
        """Return the way from the sole up to the ankle on the picture, per body unit."""
        share = HEEL_BACK / (HEEL_BACK + BALL_AHEAD)
        x, y = (
            self._spots[ankle][axis] - self._spots[heel][axis] * (1 - share) - self._spots[ball][axis] * share
            for axis in (0, 1)
        )
        return x / ANKLE_HEIGHT, y / ANKLE_HEIGHT

    def _on_sole(self, joint: Joint, radius: float, rise: tuple[float, float]) -> Circle:
        """Return a circle whose underside is the sole at `joint`."""
        x, y, _ = self._spots[joint]
        return (x + rise[0] * radius, y + rise[1] * radius, radius * self._placement.height)


Point3 = tuple[float, float, float]
StrokeLine = tuple[Point3, ...]

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


def _strokes(*lines: StrokeLine, width: float, near: bool = False, dark: bool = False) -> Strokes:
    points = np.array([point for line in lines for point in line])
    return Strokes(points=points, lengths=tuple(map(len, lines)), width=width, near=near, dark=dark)


def _wheel(side: float, radius: float, centre_y: float, centre_z: float) -> StrokeLine:
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

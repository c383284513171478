"""A posed body cut into parts: trunk, head, arms and legs, each a few rounded shapes at one depth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from caller.moves.poses import Joint
from caller.moves.poses.skeleton import ANKLE_HEIGHT, BALL_AHEAD, HEEL_BACK
from caller.screen.figures.colours import FigureColours, mixed
from caller.screen.figures.heads import head_fills
from caller.screen.figures.looks import Colour, Look
from caller.screen.figures.placement import Placement, Spot
from caller.screen.figures.shapes import Circle, Fill

# Radii in body units, at the two ends of each limb.
_UPPER_ARM: Final = (0.036, 0.027)
_FOREARM: Final = (0.026, 0.020)
_HAND: Final = 0.023
_THIGH: Final = (0.056, 0.040)
_SHANK: Final = (0.038, 0.025)
_HEEL, _TOES = 0.024, 0.019
_SHOULDERS, _SEAT = 0.050, 0.056
_NECK: Final = 0.028

# The trunk between hips and shoulders: joint, share of the hips in its width, radius.
_WAIST: Final = (Joint.WAIST, 0.75, 0.050)
_RIBS: Final = (Joint.SPINE, 0.55, 0.052)

# Clothes: how far a sleeve and a trouser leg reach along the limb when short.
_SLEEVE, _LEG = 0.55, 0.7

# Limbs fade with their distance behind the trunk: from, over (body units), and how much at most.
_FADE_FROM, _FADE_OVER, _FADE = 0.02, 0.06, 0.45


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Shapes that move together: one outline round all of them, then their fills. Larger depth is nearer."""

    depth: float
    fills: list[Fill]


class Body:
    """One pose on the picture."""

    def __init__(
        self, spots: Sequence[Spot], placement: Placement, look: Look, colours: FigureColours
    ) -> None:
        self._spots = spots
        self._placement = placement
        self._look = look
        self._shade = colours.shade
        self._trunk_depth = (spots[Joint.PELVIS][2] + spots[Joint.NECK][2]) / 2

    def parts(self) -> list[Part]:
        """Return every part, farthest first."""
        limbs = [limb for side in ("L", "R") for limb in (self._leg(side), self._arm(side))]
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
        ]
        return Part(depth=self._trunk_depth, fills=fills)

    def _head(self) -> Part:
        throat, head, face = (self._spots[joint] for joint in (Joint.THROAT, Joint.HEAD, Joint.FACE))
        # A head that leans back still hides the neck.
        depth = max(head[2], self._trunk_depth) + 0.01
        return Part(depth=depth, fills=head_fills(throat, head, face, self._placement, self._look))

    def _arm(self, side: str) -> Part:
        look = self._look
        shoulder, elbow, wrist, hand = (
            Joint[f"{name}_{side}"] for name in ("SHOULDER", "ELBOW", "WRIST", "HAND")
        )
        depth = (self._spots[elbow][2] + self._spots[wrist][2]) / 2
        sleeve, skin = self._shaded(look.shirt, depth), self._shaded(look.skin, depth)
        cover = sleeve if look.long_sleeves else skin
        fills: list[Fill] = [
            (skin, [self._circle(wrist, _HAND, hand, 0.2), self._circle(wrist, _HAND, hand, 0.72)]),
            (cover, [self._circle(elbow, _FOREARM[0]), self._circle(wrist, _FOREARM[1])]),
            (cover, [self._circle(shoulder, _UPPER_ARM[0]), self._circle(elbow, _UPPER_ARM[1])]),
        ]
        if not look.long_sleeves:
            hem = self._circle(shoulder, _UPPER_ARM[1] + 0.006, elbow, _SLEEVE)
            fills.append((sleeve, [self._circle(shoulder, _UPPER_ARM[0] + 0.003), hem]))
        # An arm that hangs level with the trunk belongs in front of it.
        return Part(depth=depth + 0.02, fills=fills)

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
            (cover, [self._circle(hip, _THIGH[0]), self._circle(knee, _THIGH[1])]),
        ]
        if not look.long_legs:
            hem = self._circle(hip, _THIGH[1] + 0.01, knee, _LEG)
            fills.append((bottoms, [self._circle(hip, _THIGH[0] + 0.003), hem]))
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
        # A leg under the trunk belongs behind it.
        return Part(depth=depth - 0.03, fills=fills)

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

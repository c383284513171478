"""Warm-up moves."""

from __future__ import annotations

from typing import Final

from caller.moves.poses.keyframes import Animation, key
from caller.moves.poses.skeleton import Joint, View
from caller.moves.poses.tables.stances import FLAT

_TUCKED: Final = (-0.07, 0.0, 0.055, 26)
_DUG: Final = (0.06, 0.0, 0.27, -38)

ANIMATIONS: Final[dict[str, Animation]] = {
    "march": Animation(
        works="legs",
        view=View.THREE_QUARTER,
        alternates=True,
        keys=(
            key(
                0.0,
                at=(-0.02, 0, 0),
                foot_l=(0.06, 0.16, 0.27, 12),
                arm_l=(-45, 90, 12, 0),
                arm_r=(75, 90, 12, 0),
            ),
            key(0.21, foot_l=FLAT),
            key(0.29, foot_r=FLAT),
        ),
    ),
    "step-touch": Animation(
        works="legs",
        view=View.FRONT,
        alternates=True,
        keys=(
            key(0.0, at=(0.13, 0, 0), foot_l=(0.19, 0, 0.055, 0), foot_r=_TUCKED, arms=(12, 30, 95, 75)),
            key(0.03, foot_r=_TUCKED),
            key(0.13, foot_r=(0.06, 0.06, 0.055, 10)),
            key(0.24, foot_r=(0.19, 0, 0.055, 0)),
            key(0.25, at=(0, -0.02, 0), arms=(62, 15, 25, 60)),
            key(0.27, foot_l=(0.19, 0, 0.055, 0)),
            key(0.38, foot_l=(0.06, 0.06, 0.055, 15)),
            key(0.49, foot_l=_TUCKED),
        ),
    ),
    "arm-circles": Animation(
        works="arms",
        view=View.SIDE,
        trail=(Joint.HAND_R,),
        keys=(
            key(0.0, arms=(0, 80, 6, 0)),
            key(1.0, "linear", arms=(360, 80, 6, 0)),
        ),
    ),
    "shoulder-rolls": Animation(
        works="none",
        view=View.THREE_QUARTER,
        keys=(
            key(0.0, shoulders=(-8, 2), arms=(6, 40, 10, 60)),
            key(0.25, shoulders=(10, 26), arms=(14, 70, 16, 40), chest=(0, 4, 0)),
            key(0.5, shoulders=(30, 2), arms=(14, 40, 22, 60), chest=(0, 0, 0), head=(0, 5, 0)),
            key(0.75, shoulders=(10, -30), arms=(14, -40, 16, 90), chest=(0, -6, 0), head=(0, -2, 0)),
        ),
    ),
    "side-bends": Animation(
        works="arms",
        view=View.FRONT,
        alternates=True,
        keys=(
            key(
                0.0,
                chest=(0, 0, 0),
                hips=(0, 0, 0),
                at=(0, 0, 0),
                feet=(0.13, 0, 0.055, 0),
                arms=(10, 10, 12, 70),
            ),
            key(
                0.22,
                chest=(0, 0, 34),
                hips=(0, 0, 7),
                head=(0, 0, 10),
                at=(-0.03, 0, 0),
                arm_l=(34, 10, 4, 70),
                arm_r=(48, -8, 104, 176),
            ),
            key(
                0.28,
                chest=(0, 0, 34),
                hips=(0, 0, 7),
                head=(0, 0, 10),
                at=(-0.03, 0, 0),
                arm_l=(34, 10, 4, 70),
                arm_r=(48, -8, 104, 176),
            ),
        ),
    ),
    "heel-digs": Animation(
        works="legs",
        view=View.SIDE,
        alternates=True,
        keys=(
            key(0.0, at=(0, -0.035, -0.03), hips=(0, 6, 0), foot_l=_DUG, arms=(55, 75, 70, 10)),
            key(0.06, foot_l=_DUG),
            key(0.15, foot_l=(0.06, 0.06, 0.16, 0)),
            key(0.24, foot_l=FLAT),
            key(0.25, at=(0, 0, 0), hips=(0, 0, 0), arms=(-12, 75, 70, 10)),
            key(0.29, foot_r=FLAT),
            key(0.40, foot_r=(0.06, 0.06, 0.16, 0)),
            key(0.48, foot_r=_DUG),
        ),
    ),
    "knee-lifts": Animation(
        works="legs",
        view=View.THREE_QUARTER,
        alternates=True,
        hands="world",
        keys=(
            key(
                0.0,
                at=(-0.025, 0, 0),
                foot_l=(0.06, 0.25, 0.29, 10),
                hand_l=(0.11, 0.575, 0.17),
                hand_r=(-0.01, 0.575, 0.17),
                chest=(0, 8, 0),
            ),
            key(0.22, foot_l=FLAT),
            key(0.25, hands=(0.12, 0.90, 0.20), chest=(0, -3, 0), elbows=30),
            key(0.28, foot_r=FLAT),
        ),
    ),
    "torso-twists": Animation(
        works="arms",
        view=View.FRONT_ABOVE,
        trail=(Joint.HAND_L, Joint.HAND_R),
        alternates=True,
        keys=(
            key(
                0.0,
                foot_l=(0.13, 0, 0.055, 0),
                foot_r=(0.13, 0, 0.055, 34),
                chest=(46, 0, 0),
                hips=(28, 0, 0),
                head=(6, 0, 0),
                arms=(82, 12, 22, 90),
                at=(0, -0.02, 0),
            ),
        ),
    ),
}

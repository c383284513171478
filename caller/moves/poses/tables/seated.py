"""Seated moves, on a chair or in a wheelchair."""

from __future__ import annotations

from typing import Final

from caller.moves.poses.keyframes import Animation, key
from caller.moves.poses.skeleton import Joint, View
from caller.moves.poses.tables.stances import SEATED_FLAT, SITTING

_GUARD: Final = (-0.02, 0.0, 0.12)
_PUNCH: Final = (-0.05, 0.0, 0.300)
_LIFTED: Final = (0.06, 0.25, 0.578, -80)

ANIMATIONS: Final[dict[str, Animation]] = {
    "seated-march": Animation(
        works="legs",
        view=View.THREE_QUARTER,
        seated=True,
        alternates=True,
        keys=(
            key(
                0.0, at=SITTING, foot_l=(0.06, 0.12, 0.26, 10), arm_l=(-42, 90, 50, 0), arm_r=(66, 90, 40, 0)
            ),
            key(0.21, foot_l=SEATED_FLAT),
            key(0.29, foot_r=SEATED_FLAT),
        ),
    ),
    "seated-arm-circles": Animation(
        works="arms",
        view=View.SIDE,
        trail=(Joint.HAND_R,),
        seated=True,
        keys=(
            key(0.0, at=SITTING, feet=SEATED_FLAT, arms=(20, 66, 6, 0)),
            key(1.0, "linear", arms=(380, 66, 6, 0)),
        ),
    ),
    "seated-punches": Animation(
        works="arms",
        view=View.SIDE,
        seated=True,
        alternates=True,
        keys=(
            key(
                0.0,
                at=SITTING,
                feet=SEATED_FLAT,
                chest=(-24, 4, 0),
                head=(22, 0, 0),
                hand_l=_PUNCH,
                hand_r=_GUARD,
                elbows=15,
            ),
            key(0.06, chest=(-24, 4, 0), head=(22, 0, 0), hand_l=_PUNCH, hand_r=_GUARD),
            key(0.25, hands=_GUARD),
            key(0.36, hands=_GUARD),
        ),
    ),
    "seated-twists": Animation(
        works="arms",
        view=View.FRONT_ABOVE,
        trail=(Joint.HAND_L, Joint.HAND_R),
        seated=True,
        alternates=True,
        keys=(
            key(0.0, at=SITTING, feet=SEATED_FLAT, chest=(56, 0, 0), head=(6, 0, 0), arms=(88, 12, 8, 90)),
        ),
    ),
    "seated-leg-lifts": Animation(
        works="legs",
        view=View.SIDE,
        seated=True,
        alternates=True,
        keys=(
            key(0.0, at=SITTING, hips=(0, -4, 0), foot_l=_LIFTED, foot_r=SEATED_FLAT, arms=(-10, 60, 6, 0)),
            key(0.07, foot_l=_LIFTED),
            key(0.24, foot_l=SEATED_FLAT),
            key(0.30, foot_r=SEATED_FLAT),
            key(0.43, foot_r=_LIFTED),
        ),
    ),
    "seated-sky-reach": Animation(
        works="arms",
        view=View.THREE_QUARTER,
        seated=True,
        keys=(
            key(0.0, at=SITTING, feet=SEATED_FLAT, arms=(26, 85, 30, 0), head=(0, 2, 0)),
            key(0.42, arms=(176, 70, 3, 0), shoulders=(20, 0), head=(0, -12, 0)),
            key(0.62, arms=(176, 70, 3, 0), shoulders=(20, 0), head=(0, -12, 0)),
            key(0.97, shoulders=(0, 0)),
        ),
    ),
    "seated-star-arms": Animation(
        works="arms",
        view=View.FRONT,
        seated=True,
        keys=(
            key(0.0, at=SITTING, feet=SEATED_FLAT, arms=(20, 0, 10, 40)),
            key(0.45, arms=(140, 0, 4, 0)),
            key(0.58, arms=(140, 0, 4, 0)),
        ),
    ),
    "seated-rowing": Animation(
        works="arms",
        view=View.SIDE,
        seated=True,
        keys=(
            key(
                0.0,
                at=SITTING,
                feet=SEATED_FLAT,
                hips=(0, 18, 0),
                chest=(0, 14, 0),
                head=(0, -16, 0),
                hands=(-0.02, -0.03, 0.295),
                elbows=20,
            ),
            key(
                0.45, hips=(0, -12, 0), chest=(0, -8, 0), head=(0, 8, 0), hands=(0.02, -0.13, 0.0), elbows=12
            ),
            key(
                0.55, hips=(0, -12, 0), chest=(0, -8, 0), head=(0, 8, 0), hands=(0.02, -0.13, 0.0), elbows=12
            ),
        ),
    ),
}

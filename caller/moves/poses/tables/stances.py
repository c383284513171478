"""What the figure does while nothing is asked of it but to stand, sit, loosen or breathe."""

from __future__ import annotations

from typing import Final

from caller.moves.poses.keyframes import Animation, key
from caller.moves.poses.tables.shared import FLAT, SEATED_FLAT, SITTING
from caller.moves.poses.views import View

_HANGING: Final = (7.0, 30.0, 10.0, 60.0)

STANCES: Final[dict[str, Animation]] = {
    "standing-ready": Animation(view=View.FRONT, keys=(key(0.0, arms=_HANGING, feet=FLAT),)),
    "sitting-ready": Animation(
        view=View.THREE_QUARTER,
        seated=True,
        keys=(key(0.0, at=SITTING, feet=SEATED_FLAT, arms=(18, 78, 62, 20)),),
    ),
    "arms-apart": Animation(view=View.FRONT, keys=(key(0.0, arms=(90, 0, 0, 90), feet=FLAT),)),
    "hand-up": Animation(
        view=View.FRONT,
        keys=(key(0.0, arm_l=(7.0, 30.0, 10.0, 60.0), arm_r=(172, 8, 6, 90), feet=FLAT),),
    ),
    "tying-laces": Animation(
        view=View.THREE_QUARTER,
        keys=(
            key(
                0.0,
                at=(0, -0.225, -0.1),
                hips=(0, 52, 0),
                chest=(0, 30, 0),
                head=(0, 10, 0),
                feet=(0.07, 0.0, 0.06, 0.0),
                knees=12,
                arms=(62, 80, 40, 0),
            ),
        ),
    ),
    "arms-hanging": Animation(
        view=View.FRONT,
        keys=(key(0.0, at=(0, -0.006, 0), arms=(3, 25, 6, 60), shoulders=(-6, 4), head=(0, 6, 0)),),
    ),
    "shaking-out": Animation(
        view=View.FRONT,
        alternates=True,
        keys=(
            key(
                0.0,
                at=(-0.045, 0, 0),
                foot_r=FLAT,
                foot_l=FLAT,
                arm_l=(20, 22, 30, 70),
                arm_r=(32, 14, 20, 70),
            ),
            key(0.05, foot_l=(0.07, 0.05, 0.07, 14), arm_l=(34, 14, 18, 70), arm_r=(18, 22, 34, 70)),
            key(0.10, foot_l=(0.12, 0.06, 0.08, 20), arm_l=(18, 22, 34, 70), arm_r=(34, 14, 18, 70)),
            key(0.17, foot_l=(0.06, 0.06, 0.08, 14), arm_l=(34, 14, 18, 70), arm_r=(18, 22, 34, 70)),
            key(0.24, foot_l=(0.12, 0.06, 0.08, 20), arm_l=(18, 22, 34, 70), arm_r=(34, 14, 18, 70)),
            key(0.31, foot_l=(0.07, 0.05, 0.07, 14), arm_l=(34, 14, 18, 70), arm_r=(18, 22, 34, 70)),
            key(0.38, at=(-0.045, 0, 0), foot_l=FLAT, arm_l=(18, 22, 34, 70), arm_r=(34, 14, 18, 70)),
            key(0.44, at=(0, 0, 0), foot_l=FLAT, arm_l=(30, 14, 20, 70), arm_r=(20, 22, 30, 70)),
        ),
    ),
    "clapping": Animation(
        view=View.FRONT,
        keys=(
            key(0.0, "fall", hands=(0.014, -0.06, 0.20), elbows=40, feet=FLAT),
            key(0.5, "rise", hands=(0.19, -0.04, 0.17), elbows=40),
        ),
    ),
    "sitting-clapping": Animation(
        view=View.FRONT,
        seated=True,
        keys=(
            key(0.0, "fall", at=SITTING, hands=(0.014, -0.06, 0.20), elbows=40, feet=SEATED_FLAT),
            key(0.5, "rise", hands=(0.19, -0.04, 0.17), elbows=40),
        ),
    ),
    "slow-breathing": Animation(
        view=View.FRONT,
        keys=(
            key(0.0, arms=(34, 20, 112, 128), shoulders=(-2, 6), chest=(0, 5, 0), head=(0, 6, 0)),
            key(0.42, arms=(52, 12, 118, 140), shoulders=(14, -4), chest=(0, -6, 0), head=(0, -6, 0)),
            key(0.52, arms=(52, 12, 118, 140), shoulders=(14, -4), chest=(0, -6, 0), head=(0, -6, 0)),
        ),
    ),
    "sitting-breathing": Animation(
        view=View.FRONT,
        seated=True,
        keys=(
            key(
                0.0,
                at=SITTING,
                feet=SEATED_FLAT,
                arms=(34, 20, 112, 128),
                shoulders=(-2, 6),
                chest=(0, 5, 0),
                head=(0, 6, 0),
            ),
            key(0.42, arms=(52, 12, 118, 140), shoulders=(14, -4), chest=(0, -6, 0), head=(0, -6, 0)),
            key(0.52, arms=(52, 12, 118, 140), shoulders=(14, -4), chest=(0, -6, 0), head=(0, -6, 0)),
        ),
    ),
}
"""The figures that do no move, by name: they wait, keep apart, ask, hang loose, shake, clap or breathe."""

TEMPO_HZ: Final[dict[str, float]] = {
    "standing-ready": 0.25,
    "sitting-ready": 0.25,
    "arms-apart": 0.25,
    "hand-up": 0.25,
    "tying-laces": 0.25,
    "arms-hanging": 0.25,
    "shaking-out": 0.5,
    "clapping": 2.0,
    "sitting-clapping": 2.0,
    "slow-breathing": 0.17,
    "sitting-breathing": 0.17,
}
"""Loops a second; what stands still has one only so that every loop has one."""

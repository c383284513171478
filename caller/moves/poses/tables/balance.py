"""Balances: the figure stands on its right leg and sways a little, as children do."""

from __future__ import annotations

from typing import Final

from caller.moves.poses.keyframes import Animation, Key, key
from caller.moves.poses.skeleton import Joint
from caller.moves.poses.tables.shared import ON_HIP, swept, swung
from caller.moves.poses.views import View

_STANDING: Final = (0.055, 0.0, 0.055, 0.0)


def _swing(back: float) -> Key:
    angle = 48 - 82 * back
    return key(
        0,
        at=(-0.048, -0.004, 0),
        hips=(0, -8 + 18 * back, -5),
        foot_r=_STANDING,
        foot_l=swung(angle, out=0.085, length=0.96, hip_up=0.004),
        arms=(66, 10, 8, 80),
    )


ANIMATIONS: Final[dict[str, Animation]] = {
    "one-leg-stand": Animation(
        view=View.SIDE,
        hands="hips",
        keys=(
            key(
                0.0,
                at=(-0.048, 0, 0),
                chest=(0, 0, -2),
                foot_r=_STANDING,
                foot_l=(0.06, 0.19, -0.18, 85),
                hands=ON_HIP,
                elbows=15,
            ),
            key(0.5, at=(-0.044, 0, 0), chest=(0, 0, 2), foot_l=(0.06, 0.20, -0.18, 85)),
        ),
    ),
    "tree": Animation(
        view=View.FRONT,
        keys=(
            key(
                0.0,
                at=(-0.05, 0, 0),
                chest=(0, 0, -1.5),
                foot_r=_STANDING,
                foot_l=(-0.02, 0.19, 0.045, 62),
                toe_l=(52, 0),
                knee_l=74,
                hands=(-0.058, 0.248, 0.03),
                elbows=86,
            ),
            key(0.5, at=(-0.046, 0, 0), chest=(0, 0, 1.5)),
        ),
    ),
    "aeroplane": Animation(
        view=View.ABOVE,
        keys=(
            key(
                0.0,
                at=(-0.048, -0.015, -0.06),
                hips=(0, 66, -4),
                chest=(0, 0, 0),
                head=(0, -58, 0),
                foot_r=_STANDING,
                foot_l=(0.06, 0.36, -0.56, 125),
                arms=(90, 0, 4, 90),
            ),
            key(0.5, at=(-0.048, -0.015, -0.06), hips=(0, 66, 4), foot_l=(0.06, 0.375, -0.56, 125)),
        ),
    ),
    "tiptoe-stand": Animation(
        view=View.THREE_QUARTER,
        keys=(
            key(
                0.0, at=(0, 0.05, 0.055), chest=(0, 0, -1.5), feet=(0.05, 0, 0.055, 60), arms=(38, 10, 8, 70)
            ),
            key(0.5, at=(0, 0.05, 0.06), chest=(0, 0, 1.5), arms=(42, 10, 8, 70)),
        ),
    ),
    "heel-to-toe-stand": Animation(
        view=View.ABOVE,
        keys=(
            key(
                0.0,
                at=(-0.004, -0.005, 0.045),
                chest=(0, 0, -3),
                foot_l=(0.0, 0, 0.155, 0),
                foot_r=(0.0, 0, 0.0, 0),
                toes=(0, 0),
                arm_l=(78, 0, 6, 90),
                arm_r=(72, 0, 6, 90),
            ),
            key(0.5, at=(0.004, -0.005, 0.045), chest=(0, 0, 3), arm_l=(72, 0, 6, 90), arm_r=(78, 0, 6, 90)),
        ),
    ),
    "leg-swings": Animation(view=View.THREE_QUARTER, trail=(Joint.TOE_L,), keys=swept(_swing)),
    "star-balance": Animation(
        view=View.FRONT,
        keys=(
            key(
                0.0,
                at=(-0.07, -0.002, 0),
                hips=(0, 0, -9),
                chest=(0, 0, 4),
                head=(0, 0, 3),
                foot_r=_STANDING,
                foot_l=(0.33, 0.135, 0.04, 20),
                toe_l=(20, -20),
                arms=(118, 0, 3, 0),
            ),
            key(
                0.5, at=(-0.066, -0.002, 0), hips=(0, 0, -9), chest=(0, 0, 7), foot_l=(0.33, 0.145, 0.04, 20)
            ),
        ),
    ),
    "knee-hug": Animation(
        view=View.SIDE,
        hands="world",
        keys=(
            key(
                0.0,
                at=(-0.048, 0, 0),
                hips=(0, -4, 0),
                chest=(0, 4, 0),
                foot_r=_STANDING,
                foot_l=(0.05, 0.305, 0.17, 18),
                hand_l=(0.075, 0.515, 0.20),
                hand_r=(-0.01, 0.515, 0.20),
                elbows=25,
            ),
            key(
                0.5,
                at=(-0.046, 0, 0),
                foot_l=(0.05, 0.312, 0.165, 18),
                hand_l=(0.075, 0.522, 0.195),
                hand_r=(-0.01, 0.522, 0.195),
            ),
        ),
    ),
}

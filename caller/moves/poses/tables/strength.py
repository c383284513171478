"""Strength moves, with the body as the only weight."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Final

from caller.moves.poses.keyframes import Animation, Key, key
from caller.moves.poses.skeleton import (
    CLAVICLE_DROP,
    HIP_HEIGHT,
    LUMBAR,
    SHANK,
    THIGH,
    THORAX_HIGH,
    THORAX_LOW,
    View,
)
from caller.moves.poses.tables.stances import FLAT, ON_HIP, ball_of, swept, trunk

_SPINE: Final = LUMBAR + THORAX_LOW + THORAX_HIGH
_TO_SHOULDER: Final = _SPINE - CLAVICLE_DROP
_PALM: Final = 0.025
_GUARD: Final = (-0.02, 0.02, 0.12)
_PUNCH: Final = (-0.05, 0.0, 0.300)
_WIDE: Final = (0.21, 0.0, 0.055, 0.0)


def _push_up(down: float) -> Key:
    """Body straight from knee to head, turning about the planted knees."""
    angle = 34 - 27 * down
    knee = (0.04, -0.30)
    up, ahead = trunk(THIGH, angle, knee)
    raised = 32
    ankle_up, ankle_ahead = knee[0] + SHANK * sin(radians(raised)), knee[1] - SHANK * cos(radians(raised))
    ball = ball_of(ankle_up, ankle_ahead, 90 + raised + 20)
    return key(
        0,
        at=(0, up - HIP_HEIGHT, ahead),
        hips=(0, 90 - angle, 0),
        head=(0, -angle * 0.6, 0),
        feet=(0.055, *ball, 90 + raised + 20),
        hands=(0.16, _PALM, 0.145),
        elbows=40,
    )


def _plank(sag: float) -> Key:
    """Body straight from heel to head over planted hands and toes."""
    raised, pitch = 19.2, 75.0
    ball_up, ball_ahead = ball_of(0, 0, pitch)
    ankle = (-ball_up, -0.50 - ball_ahead)
    leg = (THIGH + SHANK) * 0.997
    up, ahead = trunk(leg, raised - 0.6 * sag, ankle)
    return key(
        0,
        at=(0, up - HIP_HEIGHT, ahead),
        hips=(0, 90 - raised + 0.6 * sag, 0),
        head=(0, -8, 0),
        feet=(0.05, 0, -0.50, pitch),
        hands=(0.11, _PALM, trunk(leg + _TO_SHOULDER, raised, ankle)[1]),
    )


def _bridge(lift: float) -> Key:
    """Hips rise while the shoulders stay on the floor."""
    angle = 2 + 37 * lift
    neck = (0.055, -0.27)
    up, ahead = trunk(_SPINE, angle, neck)
    return key(
        0,
        at=(0, up - HIP_HEIGHT, ahead),
        hips=(0, -90 - angle, 0),
        head=(0, angle + 14, 0),
        feet=(0.06, 0, 0.27, 0),
        hands=(0.17, _PALM, -0.02),
        elbows=75,
    )


def _bear(sway: float) -> Key:
    """Hands and toes planted, knees well off the floor, the back level."""
    pitch, rise = 62.0, 24.0
    up, ahead = ball_of(0, 0, pitch)
    ankle = (-up, -0.40 - ahead)
    knee = trunk(SHANK * 0.998, rise, ankle)
    hip = trunk(THIGH * 0.998, 98.0, knee)
    drop = 21.0
    return key(
        0,
        at=(0, hip[0] - HIP_HEIGHT + 0.003 * sway, hip[1] - 0.004 * sway),
        hips=(0, 90 + drop, 0),
        head=(0, -24, 0),
        feet=(0.06, 0, -0.40, pitch),
        hands=(0.11, _PALM, hip[1] + _TO_SHOULDER * cos(radians(drop))),
    )


ANIMATIONS: Final[dict[str, Animation]] = {
    "squats": Animation(
        works="legs",
        view=View.SIDE,
        keys=(
            key(
                0.0,
                at=(0, 0, 0),
                hips=(0, 0, 0),
                head=(0, 0, 0),
                feet=(0.085, 0, 0.055, 0),
                arms=(15, 80, 8, 0),
                knees=10,
            ),
            key(0.06, at=(0, 0, 0), hips=(0, 0, 0), head=(0, 0, 0), arms=(15, 80, 8, 0)),
            key(0.47, at=(0, -0.225, -0.15), hips=(0, 38, 0), head=(0, -28, 0), arms=(126, 80, 4, 0)),
            key(0.55, at=(0, -0.225, -0.15), hips=(0, 38, 0), head=(0, -28, 0), arms=(126, 80, 4, 0)),
        ),
    ),
    "forward-lunges": Animation(
        works="legs",
        view=View.SIDE,
        alternates=True,
        keys=(
            key(0.0, at=(0, 0, -0.13), feet=(0.06, 0, -0.075, 0), arms=(8, 84, 12, 0)),
            key(0.03, foot_l=(0.06, 0, -0.075, 0), at=(0, 0, -0.13)),
            key(0.08, foot_l=(0.06, 0.11, 0.12, 0)),
            key(0.14, at=(0, -0.07, 0.02), foot_l=(0.06, 0, 0.30, 0), foot_r=(0.06, 0, -0.075, 45)),
            key(
                0.19,
                at=(0, -0.225, 0.06),
                foot_r=(0.06, 0, -0.075, 68),
                arm_l=(-45, 84, 25, 0),
                arm_r=(62, 84, 25, 0),
            ),
            key(
                0.31,
                at=(0, -0.225, 0.06),
                foot_r=(0.06, 0, -0.075, 68),
                arm_l=(-45, 84, 25, 0),
                arm_r=(62, 84, 25, 0),
            ),
            key(0.36, at=(0, -0.07, 0.0), foot_l=(0.06, 0, 0.30, 0), foot_r=(0.06, 0, -0.075, 40)),
            key(0.42, foot_l=(0.06, 0.11, 0.12, 0)),
            key(0.48, at=(0, 0, -0.13), foot_l=(0.06, 0, -0.075, 0), foot_r=(0.06, 0, -0.075, 0)),
        ),
    ),
    "reverse-lunges": Animation(
        works="legs",
        view=View.SIDE,
        alternates=True,
        hands="hips",
        keys=(
            key(0.0, at=(0, 0, 0.13), feet=(0.06, 0, 0.185, 0), hands=ON_HIP, elbows=15),
            key(0.03, foot_l=(0.06, 0, 0.185, 0), at=(0, 0, 0.13)),
            key(0.045, foot_l=(0.06, 0.025, 0.175, 12)),
            key(0.08, foot_l=(0.06, 0.10, 0.03, 40), at=(0, -0.03, 0.10)),
            key(0.14, at=(0, -0.08, 0.02), foot_l=(0.06, 0, -0.19, 58)),
            key(0.19, at=(0, -0.225, -0.055), foot_l=(0.06, 0, -0.19, 68)),
            key(0.31, at=(0, -0.225, -0.055), foot_l=(0.06, 0, -0.19, 68)),
            key(0.36, at=(0, -0.08, 0.04), foot_l=(0.06, 0, -0.19, 58)),
            key(0.42, foot_l=(0.06, 0.10, 0.03, 40), at=(0, -0.03, 0.10)),
            key(0.48, at=(0, 0, 0.13), foot_l=(0.06, 0, 0.185, 0)),
        ),
    ),
    "calf-raises": Animation(
        works="legs",
        view=View.THREE_QUARTER,
        keys=(
            key(0.0, at=(0, 0, 0), feet=FLAT, arms=(40, 12, 8, 70)),
            key(0.12, at=(0, 0, 0.045), feet=FLAT),
            key(0.45, at=(0, 0.055, 0.065), feet=(0.06, 0, 0.055, 62), arms=(52, 12, 8, 70)),
            key(0.60, at=(0, 0.055, 0.065), feet=(0.06, 0, 0.055, 62), arms=(52, 12, 8, 70)),
            key(0.88, at=(0, 0, 0.045), feet=FLAT),
        ),
    ),
    "sit-hold": Animation(
        works="legs",
        view=View.SIDE,
        keys=(
            key(
                0.0,
                at=(0, -0.215, -0.145),
                hips=(0, 24, 0),
                head=(0, -18, 0),
                feet=(0.07, 0, 0.055, 0),
                arms=(114, 82, 3, 0),
            ),
            key(0.5, at=(0, -0.205, -0.145), hips=(0, 22, 0), arms=(110, 82, 3, 0)),
        ),
    ),
    "standing-punches": Animation(
        works="arms",
        view=View.SIDE,
        alternates=True,
        keys=(
            key(
                0.0,
                at=(0, -0.05, 0),
                hips=(-6, 4, 0),
                chest=(-26, 0, 0),
                head=(24, 0, 0),
                feet=(0.13, 0, 0.055, 0),
                hand_l=_PUNCH,
                hand_r=_GUARD,
                elbows=15,
            ),
            key(0.06, chest=(-26, 0, 0), head=(24, 0, 0), hand_l=_PUNCH, hand_r=_GUARD),
            key(0.25, at=(0, -0.04, 0), hands=_GUARD),
            key(0.36, hands=_GUARD),
        ),
    ),
    "sumo-squats": Animation(
        works="legs",
        view=View.FRONT,
        hands="hips",
        keys=(
            key(
                0.0,
                at=(0, 0, 0),
                hips=(0, 4, 0),
                head=(0, 0, 0),
                feet=_WIDE,
                toes=(48, 0),
                knees=40,
                hands=(0.125, 0.03, 0.06),
                elbows=50,
            ),
            key(0.06, at=(0, 0, 0), hips=(0, 4, 0), hands=(0.125, 0.03, 0.06)),
            key(
                0.46,
                at=(0, -0.235, -0.03),
                hips=(0, 14, 0),
                head=(0, -10, 0),
                knees=62,
                hands=(0.165, 0.03, 0.075),
                elbows=60,
            ),
            key(
                0.56,
                at=(0, -0.235, -0.03),
                hips=(0, 14, 0),
                head=(0, -10, 0),
                knees=62,
                hands=(0.165, 0.03, 0.075),
                elbows=60,
            ),
        ),
    ),
    "kneeling-push-ups": Animation(
        works="arms", view=View.SIDE, hands="world", flat_hands=True, keys=swept(_push_up)
    ),
    "plank-hold": Animation(
        works="arms", view=View.SIDE, hands="world", flat_hands=True, keys=swept(_plank, steps=8)
    ),
    "bridge": Animation(works="legs", view=View.SIDE, hands="world", keys=swept(_bridge)),
    "curl-ups": Animation(
        works="none",
        view=View.SIDE,
        hands="world",
        keys=(
            key(
                0.0,
                at=(0, 0.062 - HIP_HEIGHT, 0.02),
                hips=(0, -90, 0),
                chest=(0, 4, 0),
                head=(0, 16, 0),
                feet=(0.06, 0, 0.265, 0),
                hands=(0.12, 0.17, 0.00),
                elbows=40,
            ),
            key(0.08, chest=(0, 4, 0), head=(0, 16, 0), hands=(0.12, 0.17, 0.00)),
            key(0.48, chest=(0, 62, 0), head=(0, 18, 0), hands=(0.09, 0.245, 0.08)),
            key(0.58, chest=(0, 62, 0), head=(0, 18, 0), hands=(0.09, 0.245, 0.08)),
        ),
    ),
    "bear-hold": Animation(
        works="both", view=View.SIDE, hands="world", flat_hands=True, keys=swept(_bear, steps=8)
    ),
}

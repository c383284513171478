"""What the figure does while nothing is asked of it, and values and builders that the tables share."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, radians, sin
from typing import Final

from caller.moves.poses.keyframes import Animation, Key, Values, key
from caller.moves.poses.skeleton import ANKLE_HEIGHT, BALL_AHEAD, HIP_HEIGHT, SHANK, THIGH, View

FLAT: Final = (0.06, 0.0, 0.055, 0.0)
"""A foot under its hip."""

SEAT_HEIGHT: Final = 0.222
SITTING: Final = (0.0, SEAT_HEIGHT + 0.058 - HIP_HEIGHT, 0.0)
"""Where the pelvis is on a seat of that height."""

SEATED_FLAT: Final = (0.06, 0.0, 0.285, 0.0)
"""A foot under its knee while sitting."""

ON_HIP: Final = (0.105, 0.075, 0.03)
"""Where a wrist is with the hand on the hip, from the pelvis."""


def trunk(along: float, angle_deg: float, start: tuple[float, float]) -> tuple[float, float]:
    """Return (up, ahead) of the point `along` a line that leaves `start` at `angle_deg` above level."""
    return start[0] + along * sin(radians(angle_deg)), start[1] + along * cos(radians(angle_deg))


def ball_of(ankle_up: float, ankle_ahead: float, pitch_deg: float) -> tuple[float, float]:
    """Return (up, ahead) of the ball of a foot pitched toes-down whose ankle is given."""
    pitch = radians(pitch_deg)
    up = ankle_up - ANKLE_HEIGHT * cos(pitch) - BALL_AHEAD * sin(pitch)
    return up, ankle_ahead - ANKLE_HEIGHT * sin(pitch) + BALL_AHEAD * cos(pitch)


def swung(
    angle_deg: float, *, out: float, length: float = 0.985, hip_up: float = 0.0, hip_ahead: float = 0.0
) -> Values:
    """Return the foot of a leg that hangs `angle_deg` ahead of straight down."""
    reach = length * (THIGH + SHANK)
    angle = radians(angle_deg)
    pitch = max(0.0, -angle_deg)
    up, ahead = ball_of(HIP_HEIGHT + hip_up - reach * cos(angle), hip_ahead + reach * sin(angle), pitch)
    return (out, up, ahead, pitch)


def swept(build: Callable[[float], Key], *, steps: int = 16) -> tuple[Key, ...]:
    """Return keys along a curve: `build` gets 0 to 1 and back, as a cosine, at `steps` phases.

    For paths that a straight line between two keys would leave: a planted knee, a swinging leg.
    """
    keys = []
    for step in range(steps):
        made = build((1 - cos(2 * pi * step / steps)) / 2)
        keys.append(Key(phase=step / steps, channels=made.channels, ease="linear"))
    return tuple(keys)


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

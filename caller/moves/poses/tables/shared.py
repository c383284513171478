"""Values and small builders that several tables use."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, radians, sin
from typing import Final

from caller.moves.poses.keyframes import Key, Values
from caller.moves.poses.skeleton import ANKLE_HEIGHT, BALL_AHEAD, HIP_HEIGHT, SHANK, THIGH

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

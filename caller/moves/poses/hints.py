"""Thin lines that tell a movement where the shape alone does not: the path just travelled, and a rope."""

from __future__ import annotations

from typing import Final

import numpy as np

from caller.moves.poses.kinematics import Array
from caller.moves.poses.skeleton import Joint

_TRAIL_SHARE: Final = 0.2
_TRAIL_POINTS: Final = 16
_ROPE_REACH: Final = 0.62


def trail(points: Array, joint: Joint, step: int) -> Array:
    """Return the path of `joint` over the last fifth of the loop `points`, oldest first, shape (16, 3)."""
    steps = len(points)
    back = np.linspace(_TRAIL_SHARE * steps, 0, _TRAIL_POINTS).round().astype(int)
    path: Array = points[(step - back) % steps, joint]
    return path


def rope(points: Array, phase: float) -> Array:
    """Return a rope between the hands, shape (25, 3): overhead at phase 0, under the feet at one half."""
    along = np.linspace(0.0, 1.0, 25)[:, None]
    left, right = points[Joint.HAND_L], points[Joint.HAND_R]
    turn = 2 * np.pi * phase
    outwards = np.array([0.0, np.cos(turn), np.sin(turn)])
    bow: Array = left + (right - left) * along + _ROPE_REACH * np.sin(np.pi * along) ** 0.6 * outwards
    return bow

"""The figure as a clock: facing the class, its arms lie as the hands lie on a dial behind it."""

from __future__ import annotations

from typing import Final

import numpy as np

from caller.moves.poses.kinematics import Array, Solver
from caller.moves.poses.skeleton import FOREARM, HAND, UPPER_ARM, Joint
from caller.moves.poses.views import View

DIAL_VIEW: Final = View.FRONT

# How far an arm that crosses the body is held before it, as a share of its length.
_BEFORE: Final = 0.4
_NEARLY_UPRIGHT: Final = float(np.sin(np.radians(16)))


def dial_arms(hour_deg: float, minute_deg: float) -> Array:
    """Return the joints of a figure whose arms make the hands of a clock as the class sees them.

    The straight arm is the minute hand. The folded arm is the hour hand: its elbow points, the fist is at the
    shoulder. The hour hand is made by the arm on its own side, the minute hand by the other one; where both
    lie on one side, the long arm crosses the body.

    Parameters
    ----------
    hour_deg, minute_deg
        Clockwise from twelve, as seen from the front.

    Returns
    -------
    Array
        Joint positions, shape (joints, 3).
    """
    points: Array = Solver({}, 1, "chest", flat_hands=False).solve()[0].copy()
    hour_side, minute_side = _sides(hour_deg % 360, minute_deg % 360)
    _aim(points, minute_side, minute_deg, folded=False)
    _aim(points, hour_side, hour_deg, folded=True)
    return points


def _sides(hour_deg: float, minute_deg: float) -> tuple[str, str]:
    """Return the arms that make the hour and the minute hand; the figure's left is the class's right."""
    upright = abs(np.sin(np.radians(hour_deg))) < _NEARLY_UPRIGHT
    # An hour hand that points nearly straight up or down leaves the choice to the minute hand.
    left = minute_deg > 180 if upright else hour_deg < 180
    return ("L", "R") if left else ("R", "L")


def _aim(points: Array, side: str, angle_deg: float, *, folded: bool) -> None:
    right, up, towards = DIAL_VIEW.axes
    angle = np.radians(angle_deg)
    flat = np.sin(angle) * right + np.cos(angle) * up
    crosses = np.sin(angle) * (1 if side == "L" else -1) < 0
    before = _BEFORE * min(1.0, abs(np.sin(angle)) * 2) if crosses else 0.0
    # Leaning straight towards the eye leaves the angle on the picture exact.
    pointing = flat * np.sqrt(1 - before**2) + towards * before
    shoulder = points[Joint[f"SHOULDER_{side}"]]
    elbow = shoulder + UPPER_ARM * pointing
    back = pointing
    if folded:
        back = -pointing * 0.8 + towards * 0.6
        back /= np.linalg.norm(back)
    wrist = elbow + FOREARM * back
    points[Joint[f"ELBOW_{side}"]] = elbow
    points[Joint[f"WRIST_{side}"]] = wrist
    points[Joint[f"HAND_{side}"]] = wrist + HAND * back

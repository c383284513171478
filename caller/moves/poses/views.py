"""From where the figure is seen, and how its points fall on the picture plane.

Parallel projection from slightly above, so that feet at different depths stand at different heights.
"""

from __future__ import annotations

from enum import Enum

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class View(Enum):
    """A direction to look from: turn about the vertical, and height of the eye, in degrees."""

    FRONT = (0.0, 6.0)
    THREE_QUARTER = (60.0, 9.0)
    SIDE = (82.0, 8.0)
    ABOVE = (38.0, 26.0)
    FRONT_ABOVE = (0.0, 22.0)
    GLIDING = (22.0, 28.0)

    @property
    def axes(self) -> Array:
        """Rows: picture right, picture up, towards the eye, in world axes."""
        turn, height = np.radians(self.value)
        towards = np.array([-np.sin(turn) * np.cos(height), np.sin(height), np.cos(turn) * np.cos(height)])
        right = np.array([np.cos(turn), 0.0, np.sin(turn)])
        return np.stack([right, np.cross(towards, right), towards])

    @property
    def level(self) -> Array:
        """Towards the eye along the floor, in world axes."""
        turn = np.radians(self.value[0])
        return np.array([-np.sin(turn), 0.0, np.cos(turn)])

    def project(self, points: Array) -> Array:
        """Return (right, up, towards the eye) for points of shape (..., 3)."""
        projected: Array = points @ self.axes.T
        return projected

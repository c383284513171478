"""Where a figure stands on the picture, and how large."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from caller.moves.poses import View

Spot = tuple[float, float, float]
"""Picture x, picture y (down), and how much nearer than the figure's place, level, in body units."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """The point on the floor under the figure, the pixels of its standing height, and the view."""

    view: View
    centre_x: float
    ground_y: float
    height: float

    def spots(self, points: NDArray[np.float64]) -> list[Spot]:
        """Return where points in body units, shape (n, 3), fall on the picture."""
        seen = self.view.project(points)
        x, y = self.centre_x + self.height * seen[:, 0], self.ground_y - self.height * seen[:, 1]
        # Level, because an eye that looks down would have every foot behind its body.
        nearer = points @ self.view.level
        return list(zip(x.tolist(), y.tolist(), nearer.tolist(), strict=True))

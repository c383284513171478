"""Drawing: dial, figures, lanes and captions on a Skia canvas; no window. All are placed by `Rect`."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Rect:
    """A rectangle in pixels."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The x of the right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """The y of the lower edge."""
        return self.y + self.height

    @property
    def centre_x(self) -> float:
        """The x of the middle."""
        return self.x + self.width / 2

    @property
    def centre_y(self) -> float:
        """The y of the middle."""
        return self.y + self.height / 2

    def inset(self, x: float, y: float | None = None) -> Rect:
        """Return the rectangle with `x` (and `y`, by default the same) taken off each side."""
        y = x if y is None else y
        width, height = max(0.0, self.width - 2 * x), max(0.0, self.height - 2 * y)
        return Rect(x=self.x + x, y=self.y + y, width=width, height=height)

"""Rounded shapes: circles joined by their common tangents."""

from __future__ import annotations

from collections.abc import Sequence
from math import acos, atan2, cos, degrees, hypot, pi, sin
from typing import Final

from caller.screen.skia_door import skia

Circle = tuple[float, float, float]
"""Centre x, centre y, radius, on the picture (y down)."""

_CORNERS: Final = 24
_RING: Final = tuple((cos(2 * pi * step / _CORNERS), sin(2 * pi * step / _CORNERS)) for step in range(_CORNERS))


def add_capsule(path: skia.Path, first: Circle, second: Circle) -> None:
    """Add the outline of two circles and their outer tangents to `path`."""
    (x0, y0, r0), (x1, y1, r1) = first, second
    distance = hypot(x1 - x0, y1 - y0)
    if distance <= abs(r0 - r1) + 1e-6:
        path.addCircle(*max(first, second, key=lambda circle: circle[2]))
        return
    along = degrees(atan2(y1 - y0, x1 - x0))
    tangent = degrees(acos((r0 - r1) / distance))
    path.arcTo(skia.Rect.MakeLTRB(x0 - r0, y0 - r0, x0 + r0, y0 + r0), along + tangent, 360 - 2 * tangent, True)
    path.arcTo(skia.Rect.MakeLTRB(x1 - r1, y1 - r1, x1 + r1, y1 + r1), along - tangent, 2 * tangent, False)
    path.close()


def add_hull(path: skia.Path, circles: Sequence[Circle]) -> None:
    """Add the convex hull of several circles to `path`."""
    points = sorted((x + r * u, y + r * v) for x, y, r in circles for u, v in _RING)
    corners = _half_hull(points) + _half_hull(points[::-1])
    path.addPoly([skia.Point(x, y) for x, y in corners], True)


def _half_hull(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """One side of Andrew's monotone chain, without its last point."""
    chain: list[tuple[float, float]] = []
    for x, y in points:
        while len(chain) > 1:
            (ax, ay), (bx, by) = chain[-2:]
            if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0:
                break
            chain.pop()
        chain.append((x, y))
    return chain[:-1]

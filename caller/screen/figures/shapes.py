"""Rounded shapes: circles joined by their common tangents."""

from __future__ import annotations

from collections.abc import Sequence
from math import acos, atan2, ceil, cos, floor, hypot, pi, sin
from typing import Final

from caller.screen.skia_door import skia

Circle = tuple[float, float, float]
"""Centre x, centre y, radius, on the picture (y down)."""

Fill = tuple[int, list[Circle]]
"""A colour, and the circles round which it is stretched."""

# Circles are drawn as convex polygons: twice as fast as arcs, and off by less than a hundredth of the radius.
_CORNERS: Final = 24
_STEP: Final = 2 * pi / _CORNERS
_RING: Final = {
    index: (cos(index * _STEP), sin(index * _STEP)) for index in range(-2 * _CORNERS, 2 * _CORNERS + 1)
}


def add_shape(path: skia.Path, circles: Sequence[Circle], swell: float = 0.0) -> None:
    """Add one circle, or several joined in a ring, to `path`, each radius larger by `swell`.

    Every contour runs clockwise, so that shapes in one path add up.
    """
    swollen = [(x, y, radius + swell) for x, y, radius in circles]
    if len(swollen) == 1:
        path.addCircle(*swollen[0])
    elif len(swollen) == 2:
        _add_capsule(path, *swollen)
    else:
        for first, second in zip(swollen, swollen[1:] + swollen[:1], strict=True):
            _add_capsule(path, first, second)
        _add_polygon(path, swollen)


def _add_capsule(path: skia.Path, first: Circle, second: Circle) -> None:
    (x0, y0, r0), (x1, y1, r1) = first, second
    distance = hypot(x1 - x0, y1 - y0)
    if distance <= abs(r0 - r1) + 1e-6:
        path.addCircle(*max(first, second, key=lambda circle: circle[2]))
        return
    along = atan2(y1 - y0, x1 - x0)
    tangent = acos((r0 - r1) / distance)
    # Corners nearer to the line onwards than the tangent lie on the second circle, the others on the first.
    start, stop = ceil((along - tangent) / _STEP), floor((along + tangent) / _STEP) + 1
    corners = [skia.Point(x1 + r1 * c, y1 + r1 * s) for c, s in map(_RING.__getitem__, range(start, stop))]
    corners += [
        skia.Point(x0 + r0 * c, y0 + r0 * s) for c, s in map(_RING.__getitem__, range(stop, start + _CORNERS))
    ]
    path.addPoly(corners, True)


def _add_polygon(path: skia.Path, circles: Sequence[Circle]) -> None:
    area = sum(
        first[0] * second[1] - second[0] * first[1]
        for first, second in zip(circles, [*circles[1:], circles[0]], strict=True)
    )
    corners = [skia.Point(x, y) for x, y, _ in circles]
    path.addPoly(corners if area > 0 else corners[::-1], True)

"""Figures as SVG, written from the circles that they are stretched round: a round end is a true arc or two.

The drawing library would write them as rings of short sides, thirty times as long, to be made short again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import assert_never

from caller.export.web.paths import LARGEST_SWEEP, Pen, number
from caller.screen.figure import Filled, Ink, Pulled, Shadow
from caller.screen.figures.shapes import Circle


def element_of(ink: Ink) -> tuple[str, str | None]:
    """Return an ink's element, and the path that goes into it (None for an element that has none)."""
    colour = f"#{ink.colour & 0xFFFFFF:06x}"
    match ink:
        case Filled():
            return f'<path fill="{colour}"/>', "".join(_shape(tuple(each), ink.swell) for each in ink.shapes)
        case Pulled():
            pen = Pen()
            for line in ink.lines:
                for n, (x, y, _) in enumerate(line):
                    if n:
                        pen.draw("l", [(x, y)])
                    else:
                        pen.move((x, y))
            faint = f' stroke-opacity="{ink.opacity:.2g}"' if ink.opacity < 1.0 else ""
            pulled = f'stroke="{colour}" stroke-width="{number(ink.width)}"{faint}'
            element = f'<path fill="none" {pulled} stroke-linecap="round" stroke-linejoin="round"/>'
            return element, "".join(pen.written)
        case Shadow():
            cx, cy, wide, high = map(number, (ink.x, ink.y, ink.wide, ink.high))
            place = f'cx="{cx}" cy="{cy}" rx="{wide}" ry="{high}"'
            return f'<ellipse fill="{colour}" fill-opacity="{ink.opacity:.2g}" {place}/>', None
    assert_never(ink)


@lru_cache(maxsize=8192)
def _shape(circles: tuple[Circle, ...], swell: float) -> str:
    """Return one circle, or several joined in a ring, each radius larger by `swell`; clockwise."""
    pen = Pen()
    swollen = [(x, y, radius + swell) for x, y, radius in circles]
    if len(swollen) == 1:
        _draw_capsule(pen, swollen[0], swollen[0])
    elif len(swollen) == 2:
        _draw_capsule(pen, *swollen)
    else:
        for first, second in zip(swollen, swollen[1:] + swollen[:1], strict=True):
            _draw_capsule(pen, first, second)
        _draw_inside(pen, swollen)
    return "".join(pen.written)


def _draw_capsule(pen: Pen, first: Circle, second: Circle) -> None:
    """Draw two circles joined by their common tangents."""
    (x0, y0, r0), (x1, y1, r1) = first, second
    distance = math.hypot(x1 - x0, y1 - y0)
    if distance <= abs(r0 - r1) + 1e-6:
        x, y, radius = max(first, second, key=lambda circle: circle[2])
        pen.move((x + radius, y))
        _draw_arc(pen, (x, y, radius), 0.0, math.tau)
    else:
        along = math.atan2(y1 - y0, x1 - x0)
        tangent = math.acos((r0 - r1) / distance)
        pen.move((x1 + r1 * math.cos(along - tangent), y1 + r1 * math.sin(along - tangent)))
        _draw_arc(pen, second, along - tangent, 2 * tangent)
        pen.draw("l", [(x0 + r0 * math.cos(along + tangent), y0 + r0 * math.sin(along + tangent))])
        _draw_arc(pen, first, along + tangent, math.tau - 2 * tangent)
    pen.close()


def _draw_arc(pen: Pen, circle: Circle, start: float, sweep: float) -> None:
    x, y, radius = circle
    count = math.ceil(sweep / LARGEST_SWEEP)
    for n in range(1, count + 1):
        angle = start + sweep * n / count
        pen.arc_to(radius, (x + radius * math.cos(angle), y + radius * math.sin(angle)), clockwise=True)


def _draw_inside(pen: Pen, circles: Sequence[Circle]) -> None:
    """Draw the polygon of the middles, clockwise."""
    around = zip(circles, [*circles[1:], circles[0]], strict=True)
    area = sum(first[0] * second[1] - second[0] * first[1] for first, second in around)
    corners = [(x, y) for x, y, _ in (circles if area > 0 else circles[::-1])]
    pen.move(corners[0])
    for corner in corners[1:]:
        pen.draw("l", [corner])
    pen.close()

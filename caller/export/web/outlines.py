"""Outlines as SVG, made short: true arcs, each step told from the last; figures from the circles they are
made of.

The drawing library writes every round end as dozens of tiny curves, and figures have rings of short
straight sides for theirs; together they would be most of a page. Tenths of a pixel are kept: on a
screen three times as large they are still under a third of one.

The drawing library would write them as rings of short sides, thirty times as long, to be made short again.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import assert_never

from caller.screen.figure import Filled, Ink, Pulled, Shadow
from caller.screen.figure_heads import Circle

OutlinePoint = tuple[float, float]

_COMMAND = re.compile(r"([MLQCZ])([^MLQCZ]*)")
_OFF_CIRCLE = 0.06  # pixels that a point may lie off its arc
LARGEST_SWEEP = 1.6  # radians: towards half a turn, the ends of an arc no longer tell where its middle is
_LARGEST_TURN = 0.3  # radians from one side of a ring to the next; a real corner turns further
_FEWEST_SIDES = 3


def shorten(path: str) -> str:
    """Return path data that draws the same to a tenth of a pixel; absolute M, L, Q, C and Z only."""
    pen = Pen()
    at: OutlinePoint = (0.0, 0.0)
    chain: list[OutlinePoint] = []  # the corners of a run of straight lines, or of curves
    controls: list[OutlinePoint] = []
    before = ""
    for command, text in _COMMAND.findall(path):
        values = [float(value) for value in text.split()]
        if command != before and chain:
            _draw_chain(pen, chain, controls)
            chain, controls = [], []
        points = list(zip(values[::2], values[1::2], strict=True))
        if command in "LQ":
            chain = chain or [at]
            controls += points[:-1]
            chain.append(points[-1])
        elif command == "M":
            pen.move(points[0])
        elif command == "C":
            pen.draw("c", points)
        else:
            pen.close()
        if points:
            at = points[-1]
        before = command
    if chain:
        _draw_chain(pen, chain, controls)
    return "".join(pen.written)


def number(value: float) -> str:
    """Return a coordinate to a tenth, as short as it can be written."""
    return _tenths(round(10 * value))


@lru_cache(maxsize=65_536)
def _tenths(tenths: int) -> str:
    if tenths % 10 == 0:
        return str(tenths // 10)
    sign, whole, rest = "-" if tenths < 0 else "", *divmod(abs(tenths), 10)
    return f"{sign}{whole or ''}.{rest}"


@lru_cache(maxsize=4096)
def _arc(radius: float) -> str:
    size = f"{radius:.2f}".rstrip("0").rstrip(".")
    return f"a{size} {size} 0 0 "


class Pen:
    """Writes relative commands in whole tenths, so that rounding never adds up."""

    def __init__(self) -> None:
        self.written: list[str] = []
        self._at = (0, 0)
        self._start = (0, 0)

    def move(self, point: OutlinePoint) -> None:
        """Begin somewhere else."""
        self._at = self._start = _rounded(point)
        self.written.append("M" + _joined([_tenths(tenths) for tenths in self._at]))

    def close(self) -> None:
        """Go back to where it began."""
        self.written.append("z")
        self._at = self._start

    def draw(self, command: str, points: Sequence[OutlinePoint]) -> None:
        """Write a command whose arguments are points, the last of them where it ends."""
        self.written.append(command + _joined([text for point in points for text in self._from_here(point)]))
        self._at = _rounded(points[-1])

    def arc(self, radius: float, sweep: float, points: Sequence[OutlinePoint]) -> None:
        """Write one arc through points on a circle, or a few where it sweeps far."""
        count = math.ceil(abs(sweep) / LARGEST_SWEEP)
        for n in range(1, count + 1):
            self.arc_to(radius, points[n * (len(points) - 1) // count], clockwise=sweep > 0)

    def arc_to(self, radius: float, to: OutlinePoint, *, clockwise: bool) -> None:
        """Write one arc of less than half a turn."""
        x, y = self._at
        self._at = at = _rounded(to)
        across, down = _tenths(at[0] - x), _tenths(at[1] - y)
        gap = "" if down[0] == "-" else " "
        self.written.append(
            f"{_arc(round(radius, 2))}{clockwise:d}{'' if across[0] == '-' else ' '}{across}{gap}{down}"
        )

    def _from_here(self, point: OutlinePoint) -> list[str]:
        x, y = _rounded(point)
        return [_tenths(x - self._at[0]), _tenths(y - self._at[1])]


def _rounded(point: OutlinePoint) -> tuple[int, int]:
    return round(10 * point[0]), round(10 * point[1])


def _joined(texts: Sequence[str]) -> str:
    return " ".join(texts).replace(" -", "-")


def _draw_chain(pen: Pen, chain: Sequence[OutlinePoint], controls: Sequence[OutlinePoint]) -> None:
    if controls:
        _draw_curves(pen, chain, controls)
    else:
        _draw_sides(pen, chain)


def _draw_curves(pen: Pen, points: Sequence[OutlinePoint], controls: Sequence[OutlinePoint]) -> None:
    """Draw a run of quadratic curves as arcs where it is round, else as it was."""
    found = _circle(points)
    if found is not None:
        pen.arc(*found, points)
    elif len(controls) <= 2:
        for control, end in zip(controls, points[1:], strict=True):
            pen.draw("q", [control, end])
    else:
        middle = len(points) // 2
        _draw_curves(pen, points[: middle + 1], controls[:middle])
        _draw_curves(pen, points[middle:], controls[middle:])


def _draw_sides(pen: Pen, points: Sequence[OutlinePoint]) -> None:
    """Draw a run of straight lines; equal short sides that turn evenly are a ring, and become an arc."""
    first = 0
    while first < len(points) - 1:
        last = first + 1
        while last + 1 < len(points) and _goes_on_round(points[last - 1 : last + 2]):
            last += 1
        run = points[first : last + 1]
        found = _circle(run) if last - first >= _FEWEST_SIDES else None
        if found is not None:
            pen.arc(*found, run)
        else:
            for point in run[1:]:
                pen.draw("l", [point])
        first = last


def _goes_on_round(corner: Sequence[OutlinePoint]) -> bool:
    """Tell whether two sides are equally long and turn little: neighbours on a ring."""
    (ax, ay), (bx, by), (cx, cy) = corner
    before, after = math.hypot(bx - ax, by - ay), math.hypot(cx - bx, cy - by)
    turn = math.remainder(math.atan2(cy - by, cx - bx) - math.atan2(by - ay, bx - ax), math.tau)
    return abs(before - after) < 0.02 * before and abs(turn) < _LARGEST_TURN


def _circle(points: Sequence[OutlinePoint]) -> tuple[float, float] | None:
    """Return radius and signed sweep of the circle through all points, or None where there is none."""
    if len(points) < 3:
        return None
    # Not the last one, which on a closed ring is the first again.
    (ax, ay), (bx, by), (cx, cy) = points[0], points[len(points) // 3], points[2 * len(points) // 3]
    twice_area = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    if abs(twice_area) < 1e-6:
        return None
    a2, b2, c2 = ax * ax + ay * ay, bx * bx + by * by, cx * cx + cy * cy
    x0 = (a2 * (by - cy) + b2 * (cy - ay) + c2 * (ay - by)) / twice_area
    y0 = (a2 * (cx - bx) + b2 * (ax - cx) + c2 * (bx - ax)) / twice_area
    radius = math.hypot(ax - x0, ay - y0)
    if any(abs(math.hypot(x - x0, y - y0) - radius) > _OFF_CIRCLE for x, y in points):
        return None
    angles = [math.atan2(y - y0, x - x0) for x, y in points]
    turns = (math.remainder(after - before, math.tau) for before, after in pairwise(angles))
    return radius, sum(turns)


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

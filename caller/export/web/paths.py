"""Outlines made short: what lies on a circle becomes one arc, and each step is told from the last.

The drawing library writes every round end as dozens of tiny curves, and figures have rings of short
straight sides for theirs; together they would be most of a page. Tenths of a pixel are kept: on a
screen three times as large they are still under a third of one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

Point = tuple[float, float]

_COMMAND = re.compile(r"([MLQCZ])([^MLQCZ]*)")
_OFF_CIRCLE = 0.06  # pixels that a point may lie off its arc
LARGEST_SWEEP = 1.6  # radians: towards half a turn, the ends of an arc no longer tell where its middle is
_LARGEST_TURN = 0.3  # radians from one side of a ring to the next; a real corner turns further
_FEWEST_SIDES = 3


def shorten(path: str) -> str:
    """Return path data that draws the same to a tenth of a pixel; absolute M, L, Q, C and Z only."""
    pen = Pen()
    at: Point = (0.0, 0.0)
    chain: list[Point] = []  # the corners of a run of straight lines, or of curves
    controls: list[Point] = []
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

    def move(self, point: Point) -> None:
        """Begin somewhere else."""
        self._at = self._start = _rounded(point)
        self.written.append("M" + _joined([_tenths(tenths) for tenths in self._at]))

    def close(self) -> None:
        """Go back to where it began."""
        self.written.append("z")
        self._at = self._start

    def draw(self, command: str, points: Sequence[Point]) -> None:
        """Write a command whose arguments are points, the last of them where it ends."""
        self.written.append(command + _joined([text for point in points for text in self._from_here(point)]))
        self._at = _rounded(points[-1])

    def arc(self, radius: float, sweep: float, points: Sequence[Point]) -> None:
        """Write one arc through points on a circle, or a few where it sweeps far."""
        count = math.ceil(abs(sweep) / LARGEST_SWEEP)
        for n in range(1, count + 1):
            self.arc_to(radius, points[n * (len(points) - 1) // count], clockwise=sweep > 0)

    def arc_to(self, radius: float, to: Point, *, clockwise: bool) -> None:
        """Write one arc of less than half a turn."""
        x, y = self._at
        self._at = at = _rounded(to)
        across, down = _tenths(at[0] - x), _tenths(at[1] - y)
        gap = "" if down[0] == "-" else " "
        self.written.append(
            f"{_arc(round(radius, 2))}{clockwise:d}{'' if across[0] == '-' else ' '}{across}{gap}{down}"
        )

    def _from_here(self, point: Point) -> list[str]:
        x, y = _rounded(point)
        return [_tenths(x - self._at[0]), _tenths(y - self._at[1])]


def _rounded(point: Point) -> tuple[int, int]:
    return round(10 * point[0]), round(10 * point[1])


def _joined(texts: Sequence[str]) -> str:
    return " ".join(texts).replace(" -", "-")


def _draw_chain(pen: Pen, chain: Sequence[Point], controls: Sequence[Point]) -> None:
    if controls:
        _draw_curves(pen, chain, controls)
    else:
        _draw_sides(pen, chain)


def _draw_curves(pen: Pen, points: Sequence[Point], controls: Sequence[Point]) -> None:
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


def _draw_sides(pen: Pen, points: Sequence[Point]) -> None:
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


def _goes_on_round(corner: Sequence[Point]) -> bool:
    """Tell whether two sides are equally long and turn little: neighbours on a ring."""
    (ax, ay), (bx, by), (cx, cy) = corner
    before, after = math.hypot(bx - ax, by - ay), math.hypot(cx - bx, cy - by)
    turn = math.remainder(math.atan2(cy - by, cx - bx) - math.atan2(by - ay, bx - ax), math.tau)
    return abs(before - after) < 0.02 * before and abs(turn) < _LARGEST_TURN


def _circle(points: Sequence[Point]) -> tuple[float, float] | None:
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

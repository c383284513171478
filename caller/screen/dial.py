"""The dial: plain numerals, sixty marks, two hands told apart by their shape alone.

The hour hand is short and thick and always moved on by the minutes; the minute hand is long and
thin and reaches the marks. Both end in a point, so that where they point can be read to the mark.
All lengths are shares of the radius.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from caller.clock.hands import hands
from caller.clock.times import ClockTime
from caller.screen.fonts import cap_height
from caller.screen.skia_door import skia
from caller.screen.text import draw_numeral, width_of
from caller.screen.theme import Theme

RIM = 0.03
MARK_OUTER, MARK_INNER, HOUR_MARK_INNER = 0.95, 0.885, 0.85
MARK_WIDTH, HOUR_MARK_WIDTH = 0.018, 0.034
NUMERAL_HEIGHT = 0.165  # what the sight lines of the hall count on
NUMERAL_AT = 0.705
NUMERAL_REACH = 0.82  # no corner of a numeral comes nearer to the marks
HUB = 0.06
GAP = 0.024  # of face round the minute hand, where it crosses something

Numerals = Literal["arabic", "roman"]
Point = tuple[float, float]

_ROMAN = ("XII", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI")


@dataclass(frozen=True, slots=True, kw_only=True)
class HandShape:
    """A hand: how far it reaches, how wide it is, and how long its point."""

    length: float
    width: float
    point: float


HOUR_HAND = HandShape(length=0.56, width=0.12, point=0.12)
MINUTE_HAND = HandShape(length=0.885, width=0.046, point=0.1)


def on_dial(centre: Point, radius: float, angle_deg: float, share: float) -> Point:
    """Return the point at `share` of the radius, `angle_deg` clockwise from twelve."""
    turn = math.radians(angle_deg)
    return centre[0] + radius * share * math.sin(turn), centre[1] - radius * share * math.cos(turn)


def hand_path(centre: Point, radius: float, angle_deg: float, shape: HandShape) -> skia.Path:
    """Return the outline of a hand: a bar from the hub that ends in a point."""
    half, shoulder = shape.width / 2, shape.length - shape.point
    outline = ((-half, 0.0), (-half, shoulder), (0.0, shape.length), (half, shoulder), (half, 0.0))
    turn = math.radians(angle_deg)
    sin, cos = math.sin(turn), math.cos(turn)
    points = [
        skia.Point(
            centre[0] + radius * (across * cos + along * sin),
            centre[1] + radius * (across * sin - along * cos),
        )
        for across, along in outline
    ]
    return skia.Path.Polygon(points, True)


def draw_hands(canvas: skia.Canvas, time: ClockTime, *, centre: Point, radius: float, theme: Theme) -> None:
    """Draw both hands in one colour, the long one over the short one with a hair of face between."""
    at = hands(time)
    ink = skia.Paint(AntiAlias=True, Color=theme.ink)
    gap = skia.Paint(
        AntiAlias=True,
        Color=theme.face,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=GAP * radius,
        StrokeJoin=skia.Paint.kMiter_Join,
    )
    canvas.drawPath(hand_path(centre, radius, at.hour_deg, HOUR_HAND), ink)
    minute = hand_path(centre, radius, at.minute_deg, MINUTE_HAND)
    canvas.drawPath(minute, gap)
    canvas.drawPath(minute, ink)
    canvas.drawCircle(*centre, HUB * radius, ink)


def draw_face(
    canvas: skia.Canvas,
    *,
    centre: Point,
    radius: float,
    theme: Theme,
    numerals: Numerals = "arabic",
    shown: frozenset[int] = frozenset(range(1, 13)),
    numeral_height: float = NUMERAL_HEIGHT,
    marks: bool = True,
) -> None:
    """Draw the dial without hands.

    Parameters
    ----------
    shown
        The numerals to write, 1 to 12: fewer and larger ones carry further in a long hall.
    numeral_height
        Of the numerals, as a share of the radius.
    """
    canvas.drawCircle(*centre, radius, skia.Paint(AntiAlias=True, Color=theme.face))
    rim = skia.Paint(
        AntiAlias=True, Color=theme.ink, Style=skia.Paint.kStroke_Style, StrokeWidth=RIM * radius
    )
    canvas.drawCircle(*centre, radius * (1 - RIM / 2), rim)
    if marks:
        for minute in range(60):
            on_hour = minute % 5 == 0
            paint = skia.Paint(
                AntiAlias=True,
                Color=theme.ink,
                StrokeWidth=(HOUR_MARK_WIDTH if on_hour else MARK_WIDTH) * radius,
            )
            outer = on_dial(centre, radius, 6.0 * minute, MARK_OUTER)
            inner = on_dial(centre, radius, 6.0 * minute, HOUR_MARK_INNER if on_hour else MARK_INNER)
            canvas.drawLine(*outer, *inner, paint)
    for hour in shown:
        draw_hour_numeral(
            canvas,
            hour,
            centre=centre,
            radius=radius,
            colour=theme.ink,
            numerals=numerals,
            height=numeral_height,
        )


def draw_hour_numeral(
    canvas: skia.Canvas,
    hour: int,
    *,
    centre: Point,
    radius: float,
    colour: int,
    numerals: Numerals = "arabic",
    height: float = NUMERAL_HEIGHT,
) -> None:
    """Write one numeral in its place."""
    text = _ROMAN[hour % 12] if numerals == "roman" else str(hour)
    if numerals == "roman":
        height *= 0.75  # VIII at full height would touch its neighbours
    size = height / cap_height(True)
    at = min(NUMERAL_AT, _centre_within_reach(width_of(text, size, True), height, 30.0 * hour))
    x, y = on_dial(centre, radius, 30.0 * hour, at)
    draw_numeral(canvas, text, x=x, y=y, size=size * radius, colour=colour)


def _centre_within_reach(width: float, height: float, angle_deg: float) -> float:
    """Return how far out a box may stand so that its outer corner stays within reach of the hub."""
    turn = math.radians(angle_deg)
    sin, cos = abs(math.sin(turn)), abs(math.cos(turn))
    # |at * (sin, cos) + (width, height) / 2| = NUMERAL_REACH, solved for `at`.
    along = sin * width / 2 + cos * height / 2
    beside = (width / 2) ** 2 + (height / 2) ** 2
    return math.sqrt(along**2 - beside + NUMERAL_REACH**2) - along


def draw_dial(
    canvas: skia.Canvas,
    time: ClockTime | None,
    *,
    centre: Point,
    radius: float,
    theme: Theme,
    numerals: Numerals = "arabic",
    shown: frozenset[int] = frozenset(range(1, 13)),
    numeral_height: float = NUMERAL_HEIGHT,
) -> None:
    """Draw a whole dial; without hands where `time` is None."""
    draw_face(
        canvas,
        centre=centre,
        radius=radius,
        theme=theme,
        numerals=numerals,
        shown=shown,
        numeral_height=numeral_height,
    )
    if time is not None:
        draw_hands(canvas, time, centre=centre, radius=radius, theme=theme)

"""The dial: plain numerals, sixty marks, two hands told apart by their shape alone.

The hour hand is short and broad and always moved on by the minutes; the minute hand is long and
slim and ends in an arrowhead at the marks. No hand ever covers a numeral: the minute hand passes
behind it, with room left round the numeral, and its arrowhead comes out again beyond. All lengths
are shares of the radius; marks, gaps and the arrowhead are 4 arc minutes or more where the numerals
are 20.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from caller.clock import ClockTime, hands
from caller.clock.said_and_shown import Numerals, numeral_on_dial
from caller.screen.skia_door import skia
from caller.screen.text import cap_height, draw_numeral, outline_of, width_of
from caller.screen.theme import Theme

RIM = 0.03
MARK_OUTER, HOUR_MARK_OUTER, MARK_INNER = 0.955, 0.98, 0.89
MARK_WIDTH, HOUR_MARK_WIDTH = 0.033, 0.06
NUMERAL_HEIGHT = 0.165  # what the sight lines of the hall count on
NUMERAL_AT = 0.70
NUMERAL_REACH = 0.815  # no corner of a numeral comes nearer to the marks
HUB = 0.095
GAP = 0.034  # of face on either side of the minute hand, where it crosses the other one
HALO = 0.035  # of room round a numeral, where a hand passes behind it

PicturePoint = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class HandShape:
    """A hand: how far it reaches, how wide it is, and its point; `head` is how wide an arrowhead is."""

    length: float
    width: float
    point: float
    head: float = 0.0

    @property
    def outline(self) -> tuple[tuple[float, float], ...]:
        """Corners of the hand pointing up: across, and along from the hub."""
        half, shoulder = self.width / 2, self.length - self.point
        right = [(half, 0.0), (half, shoulder)]
        if self.head:
            right.append((self.head / 2, shoulder))
        left = [(-across, along) for across, along in reversed(right)]
        return (*right, (0.0, self.length), *left)


HOUR_HAND = HandShape(length=0.52, width=0.18, point=0.12)
MINUTE_HAND = HandShape(length=0.89, width=0.05, point=0.075, head=0.1)


def on_dial(centre: PicturePoint, radius: float, angle_deg: float, share: float) -> PicturePoint:
    """Return the point at `share` of the radius, `angle_deg` clockwise from twelve."""
    turn = math.radians(angle_deg)
    return centre[0] + radius * share * math.sin(turn), centre[1] - radius * share * math.cos(turn)


def hand_path(centre: PicturePoint, radius: float, angle_deg: float, shape: HandShape) -> skia.Path:
    """Return the outline of a hand: a bar from the hub that ends in a point or an arrowhead."""
    turn = math.radians(angle_deg)
    sin, cos = math.sin(turn), math.cos(turn)
    points = [
        skia.Point(
            centre[0] + radius * (across * cos + along * sin),
            centre[1] + radius * (across * sin - along * cos),
        )
        for across, along in shape.outline
    ]
    return skia.Path.Polygon(points, True)


def draw_hands(
    canvas: skia.Canvas,
    time: ClockTime,
    *,
    centre: PicturePoint,
    radius: float,
    theme: Theme,
    numerals: Numerals = "arabic",
    height: float = NUMERAL_HEIGHT,
) -> None:
    """Draw both hands in one colour behind the numerals, the long one over the short one with a gap."""
    ink = skia.Paint(AntiAlias=True, Color=theme.ink)
    for path in _hands_drawn(time, centre, radius, numerals, height):
        canvas.drawPath(path, ink)
    canvas.drawCircle(*centre, HUB * radius, ink)


@lru_cache(maxsize=64)
def _hands_drawn(
    time: ClockTime, centre: PicturePoint, radius: float, numerals: Numerals, height: float
) -> tuple[skia.Path, skia.Path]:
    """Return the short and the long hand as they are seen: parted by a gap, and behind the numerals."""
    at = hands(time)
    gap = skia.Paint(
        Style=skia.Paint.kStrokeAndFill_Style,
        StrokeWidth=2 * GAP * radius,
        StrokeJoin=skia.Paint.kMiter_Join,
    )
    hour = hand_path(centre, radius, at.hour_deg, HOUR_HAND)
    minute = hand_path(centre, radius, at.minute_deg, MINUTE_HAND)
    # The gap is cut out of the short hand alone: round the rest of the long one lies nothing to part it from.
    parted = skia.Op(hour, _outline(minute, gap), skia.kDifference_PathOp)
    by_hour, by_minute = (
        numerals_room(angle_deg, centre=centre, radius=radius, numerals=numerals, height=height)
        for angle_deg in (at.hour_deg, at.minute_deg)
    )
    return (
        skia.Op(parted, by_hour, skia.kDifference_PathOp),
        skia.Op(minute, by_minute, skia.kDifference_PathOp),
    )


def numerals_room(
    angle_deg: float,
    *,
    centre: PicturePoint,
    radius: float,
    numerals: Numerals = "arabic",
    height: float = NUMERAL_HEIGHT,
) -> skia.Path:
    """Return the numerals that a hand at this angle may meet, with the room they are given."""
    place = skia.Matrix().setScale(radius, radius).postTranslate(*centre)
    first = math.floor(angle_deg / 30.0)
    room = skia.Path()
    for hour in (first, first + 1):
        room.addPath(_room_of(hour % 12 or 12, numerals, height), place)
    return room


def draw_clear_of(canvas: skia.Canvas, room: skia.Path, path: skia.Path, paint: skia.Paint) -> None:
    """Draw `path` where it does not lie in `room`.

    The outline itself is cut, and no clip is set: what writes vector files leaves a cut-out clip out.
    """
    fill = skia.Paint(AntiAlias=True, Color=paint.getColor())
    canvas.drawPath(skia.Op(_outline(path, paint), room, skia.kDifference_PathOp), fill)


def _outline(path: skia.Path, paint: skia.Paint) -> skia.Path:
    """Return what `paint` makes of a path, as a path to be filled."""
    outline = skia.Path()
    paint.getFillPath(path, outline)
    return outline


@lru_cache(maxsize=128)
def _room_of(hour: int, numerals: Numerals, height: float) -> skia.Path:
    """Return a numeral with its halo, filled, on a dial of radius 1 about the origin."""
    text, size, x, y = _numeral_at(hour, numerals, height)
    letters = outline_of(text, x=x, y=y, size=size, bold=True)
    pen = skia.Paint(
        Style=skia.Paint.kStrokeAndFill_Style,
        StrokeWidth=2 * HALO,
        StrokeJoin=skia.Paint.kRound_Join,
    )
    widened = skia.Path()
    pen.getFillPath(letters, widened, None, 500.0)
    return skia.Op(widened, skia.Path(), skia.kUnion_PathOp)


def draw_face(
    canvas: skia.Canvas,
    *,
    centre: PicturePoint,
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
            outer = on_dial(centre, radius, 6.0 * minute, HOUR_MARK_OUTER if on_hour else MARK_OUTER)
            inner = on_dial(centre, radius, 6.0 * minute, MARK_INNER)
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
    centre: PicturePoint,
    radius: float,
    colour: int,
    numerals: Numerals = "arabic",
    height: float = NUMERAL_HEIGHT,
) -> None:
    """Write one numeral in its place."""
    text, size, x, y = _numeral_at(hour, numerals, height)
    x, y = centre[0] + radius * x, centre[1] + radius * y
    draw_numeral(canvas, text, x=x, y=y, size=size * radius, colour=colour)


@lru_cache(maxsize=128)
def _numeral_at(hour: int, numerals: Numerals, height: float) -> tuple[str, float, float, float]:
    """Return a numeral's text, its letter size, and where its middle is on a dial of radius 1."""
    text = numeral_on_dial(hour, numerals)
    if numerals == "roman":
        height *= 0.75  # VIII at full height would touch its neighbours
    size = height / cap_height(True)
    at = min(NUMERAL_AT, _centre_within_reach(width_of(text, size, True), height, 30.0 * hour))
    return text, size, *on_dial((0.0, 0.0), 1.0, 30.0 * hour, at)


def middle_of_numeral(hour: int, numerals: Numerals = "arabic") -> PicturePoint:
    """Return where a numeral's middle is on a dial of radius 1 about the origin."""
    return _numeral_at(hour, numerals, NUMERAL_HEIGHT)[2:]


def numeral_width(hour: int, numerals: Numerals) -> float:
    """Return how wide a numeral is on a dial of radius 1."""
    text, size, _, _ = _numeral_at(hour, numerals, NUMERAL_HEIGHT)
    return width_of(text, size, True)


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
    centre: PicturePoint,
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
        draw_hands(
            canvas,
            time,
            centre=centre,
            radius=radius,
            theme=theme,
            numerals=numerals,
            height=numeral_height,
        )

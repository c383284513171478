"""What stands beside a dial: an empty number line with jumps, and the part of the day as sun or moon.

Children count across the hour on such a line (Dixon 2008, Teach Child Math 15:18). It is not to scale: a
short jump must still hold its words.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from caller.clock import DayTime
from caller.clock.said_and_shown import TimeJump
from caller.runsheet import LineJump
from caller.screen import Rect
from caller.screen.cues import come_to
from caller.screen.scene import ActiveCue
from caller.screen.skia_door import skia
from caller.screen.text import draw_numeral, width_of
from caller.screen.theme import Theme

_LEAST_SHARE = 0.85  # of the line's width by the number of jumps: the shortest jump has this much of its part
_TEXT = 0.075  # letter size in units, nearly that of the caption
_LINE_AT, _TICK = 0.575, 0.05  # the line's height in the room; half a tick, in room heights
_JUMP_TALL, _OVER_JUMP = 0.22, 0.8  # a jump, in room heights; its words' middle over it, in their size
_ARC_PART = 24  # a jump is drawn in whole parts, so that equal pictures stay equal


def draw_number_line(
    canvas: skia.Canvas,
    jumps: Sequence[LineJump],
    cues: Sequence[ActiveCue],
    room: Rect,
    *,
    unit: float,
    theme: Theme,
) -> None:
    """Draw the line with the jumps made so far."""
    begun = {each.cue.number: come_to(each) for each in cues if isinstance(each.cue, TimeJump)}
    ends = places_on_line(jumps, room)
    y = room.y + _LINE_AT * room.height
    pen = skia.Paint(
        AntiAlias=True,
        Color=theme.ink,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=0.008 * unit,
        StrokeCap=skia.Paint.kRound_Cap,
    )
    canvas.drawLine(room.x, y, room.right, y, pen)
    size = _letter_size(jumps, ends, unit)
    draw_end(canvas, jumps[0].begins, ends[0], room, size=size, pen=pen, theme=theme)
    for number, jump in enumerate(jumps):
        come = begun.get(number, 0.0)
        if come <= 0.0:
            continue
        start, end = ends[number], ends[number + 1]
        tall = _JUMP_TALL * room.height
        box = skia.Rect.MakeLTRB(min(start, end), y - tall, max(start, end), y + tall)
        sweep = 180.0 * round(come * _ARC_PART) / _ARC_PART
        arc = skia.Paint(
            AntiAlias=True,
            Color=theme.light_edge,
            Style=skia.Paint.kStroke_Style,
            StrokeWidth=0.012 * unit,
            StrokeCap=skia.Paint.kRound_Cap,
        )
        if jump.back:
            canvas.drawArc(box, 0.0, -sweep, False, arc)
        else:
            canvas.drawArc(box, 180.0, sweep, False, arc)
        draw_numeral(
            canvas,
            jump.length,
            x=(start + end) / 2,
            y=y - tall - _OVER_JUMP * size,
            size=size,
            colour=theme.ink,
        )
        if come >= 1.0:
            draw_end(canvas, jump.ends, end, room, size=size, pen=pen, theme=theme)


def draw_end(
    canvas: skia.Canvas, words: str, x: float, room: Rect, *, size: float, pen: skia.Paint, theme: Theme
) -> None:
    """Mark a time on the line and write it underneath."""
    y, half = room.y + _LINE_AT * room.height, _TICK * room.height
    canvas.drawLine(x, y - half, x, y + half, pen)
    draw_numeral(canvas, words, x=x, y=y + half + 0.85 * size, size=size, colour=theme.ink)


def places_on_line(jumps: Sequence[LineJump], room: Rect) -> tuple[float, ...]:
    """Return where the line's times stand, in the order they are reached: leftwards for going back.

    Half of a label's room stays free at both ends.
    """
    whole = sum(jump.minutes for jump in jumps)
    spare = 1.0 - _LEAST_SHARE
    shares = [_LEAST_SHARE / len(jumps) + spare * jump.minutes / whole for jump in jumps]
    left, width = room.x + 0.125 * room.width, 0.75 * room.width
    at, places = 0.0, [0.0]
    for share in shares:
        at += share
        places.append(at)
    if jumps[0].back:
        places = [1.0 - place for place in places]
    return tuple(left + width * place for place in places)


def _letter_size(jumps: Sequence[LineJump], ends: Sequence[float], unit: float) -> float:
    """Return the size at which no two words on the line touch."""
    size = _TEXT * unit
    for number, jump in enumerate(jumps):
        room = abs(ends[number + 1] - ends[number])
        pair = (width_of(jump.begins, 1.0, True) + width_of(jump.ends, 1.0, True)) / 2
        size = min(size, room / (pair + 0.5), room / (width_of(jump.length, 1.0, True) + 0.3))
    return size


_SUNRISE_MIN, _SUNSET_MIN = 6 * 60, 18 * 60  # a day of twelve hours, as in a picture book
DAY, NIGHT = 0xFFDCEEFA, 0xFF1B2A4A
SUN, SUN_EDGE, MOON = 0xFFFFD24A, 0xFF8A5A00, 0xFFF4EFDD
DAY_GROUND, NIGHT_GROUND = 0xFF4B7A3F, 0xFF6E9A78
_STARS = ((0.08, 0.3), (0.2, 0.16), (0.34, 0.5), (0.47, 0.2), (0.63, 0.44), (0.78, 0.2), (0.91, 0.42))


def is_day(time: DayTime) -> bool:
    """Tell whether the sun is up in the picture."""
    return _SUNRISE_MIN <= time.minutes < _SUNSET_MIN


def way_across(time: DayTime) -> float:
    """Return how far sun or moon has come, from 0 (rising, left) to 1 (setting, right)."""
    start = _SUNRISE_MIN if is_day(time) else _SUNSET_MIN
    return ((time.minutes - start) % 720) / 720


def draw_sky(canvas: skia.Canvas, time: DayTime, room: Rect, *, theme: Theme) -> None:
    """Draw the sky of a time of day in a panel."""
    day = is_day(time)
    box = skia.Rect.MakeXYWH(room.x, room.y, room.width, room.height)
    corner = 0.14 * room.height
    panel = skia.RRect.MakeRectXY(box, corner, corner)
    canvas.save()
    canvas.clipRRect(panel, skia.ClipOp.kIntersect, True)
    canvas.drawRect(box, skia.Paint(Color=DAY if day else NIGHT))
    if not day:
        star = skia.Paint(AntiAlias=True, Color=MOON)
        for across, down in _STARS:
            x, y = room.x + across * room.width, room.y + down * room.height
            canvas.drawCircle(x, y, 0.022 * room.height, star)
    way = way_across(time)
    size = 0.17 * room.height
    horizon = room.y + 0.82 * room.height
    x = room.x + 1.4 * size + way * (room.width - 2.8 * size)
    y = horizon - math.sin(math.pi * way) * (horizon - room.y - 1.5 * size)
    if day:
        _draw_sun(canvas, x, y, size)
    else:
        canvas.drawCircle(x, y, size, skia.Paint(AntiAlias=True, Color=MOON))
        canvas.drawCircle(
            x + 0.5 * size, y - 0.25 * size, 0.85 * size, skia.Paint(AntiAlias=True, Color=NIGHT)
        )
    ground = skia.Rect.MakeLTRB(room.x, horizon, room.right, room.bottom)
    canvas.drawRect(ground, skia.Paint(Color=DAY_GROUND if day else NIGHT_GROUND))
    canvas.restore()
    edge = skia.Paint(
        AntiAlias=True,
        Color=theme.ink,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=0.02 * room.height,
    )
    canvas.drawRRect(panel, edge)


def _draw_sun(canvas: skia.Canvas, x: float, y: float, size: float) -> None:
    """Draw a disc with a dark edge and short rays."""
    edge = skia.Paint(
        AntiAlias=True,
        Color=SUN_EDGE,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=0.16 * size,
        StrokeCap=skia.Paint.kRound_Cap,
    )
    for n in range(12):
        turn = math.tau * n / 12
        sin, cos = math.sin(turn), math.cos(turn)
        canvas.drawLine(
            x + 1.12 * size * sin, y - 1.12 * size * cos, x + 1.36 * size * sin, y - 1.36 * size * cos, edge
        )
    canvas.drawCircle(x, y, 0.9 * size, skia.Paint(AntiAlias=True, Color=SUN))
    canvas.drawCircle(x, y, 0.9 * size, edge)

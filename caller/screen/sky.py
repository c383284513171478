"""The part of the day as a small picture: sun or moon on its way over the horizon."""

from __future__ import annotations

import math

from caller.clock.times import DayTime
from caller.screen.rect import Rect
from caller.screen.skia_door import skia
from caller.screen.theme import Theme

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

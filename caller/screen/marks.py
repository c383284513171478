"""Signs drawn as paths, because the typeface has none: a tick and an arrow."""

from __future__ import annotations

from caller.screen.rect import Rect
from caller.screen.skia_door import skia
from caller.screen.theme import Theme


def draw_tick(canvas: skia.Canvas, x: float, y: float, *, radius: float, theme: Theme) -> None:
    """Draw a tick on a disc with its middle at (x, y)."""
    canvas.drawCircle(x, y, radius * 1.12, skia.Paint(AntiAlias=True, Color=theme.background))
    canvas.drawCircle(x, y, radius, skia.Paint(AntiAlias=True, Color=theme.tick))
    line = skia.Paint(
        AntiAlias=True,
        Color=theme.face,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=0.24 * radius,
        StrokeCap=skia.Paint.kRound_Cap,
        StrokeJoin=skia.Paint.kRound_Join,
    )
    corners = ((-0.45, 0.02), (-0.12, 0.38), (0.48, -0.36))
    points = [skia.Point(x + radius * across, y + radius * down) for across, down in corners]
    canvas.drawPath(skia.Path.Polygon(points, False), line)


def draw_arrow(canvas: skia.Canvas, room: Rect, *, down: bool, theme: Theme) -> None:
    """Draw an arrow through the middle of a room, to the right or down."""
    length, head = 0.36 * min(room.width, room.height), 0.2 * min(room.width, room.height)
    outline = ((-length, 0.0), (length, 0.0)), ((length - head, -head), (length, 0.0), (length - head, head))
    line = skia.Paint(
        AntiAlias=True,
        Color=theme.ink,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=0.1 * min(room.width, room.height),
        StrokeCap=skia.Paint.kRound_Cap,
        StrokeJoin=skia.Paint.kRound_Join,
    )
    for stroke in outline:
        points = [
            skia.Point(room.centre_x + (b if down else a), room.centre_y + (a if down else b))
            for a, b in stroke
        ]
        canvas.drawPath(skia.Path.Polygon(points, False), line)

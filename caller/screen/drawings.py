"""Our own small drawings for what can be chosen, and signs that the typeface lacks: a tick, an arrow."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final, Literal

from caller.clock import ClockTime
from caller.moves.poses import animation, pose
from caller.screen import Rect
from caller.screen.dial import draw_dial
from caller.screen.figure import LOOKS, FigureColours, draw_figure
from caller.screen.skia_door import skia
from caller.screen.theme import Theme, lightness


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


Drawing = Literal[
    "lead",
    "substitute",
    "make",
    "classes",
    "record",
    "folder",
    "forget",
    "pencil",
    "new",
    "nobody",
    "making",
    "back",
    "on",
    "softer",
    "louder",
    "hall",
    "screen",
    "rows",
    "look",
    "stop",
    "hush",
]

_SIDE: Final = 100.0  # drawings are made in a square of this side
_LINE: Final = 3.0


def draw_drawing(canvas: skia.Canvas, drawing: Drawing, room: Rect, theme: Theme) -> None:
    """Draw one, as large as a room holds, in its middle."""
    side = min(room.width, room.height)
    canvas.save()
    canvas.translate(room.centre_x - side / 2, room.centre_y - side / 2)
    canvas.scale(side / _SIDE, side / _SIDE)
    _DRAWN[drawing](canvas, theme)
    canvas.restore()


def _stroke(colour: int, wide: float = _LINE) -> skia.Paint:
    return skia.Paint(
        AntiAlias=True,
        Color=colour,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=wide,
        StrokeCap=skia.Paint.kRound_Cap,
        StrokeJoin=skia.Paint.kRound_Join,
    )


def _fill(colour: int) -> skia.Paint:
    return skia.Paint(AntiAlias=True, Color=colour)


def _lines(canvas: skia.Canvas, paint: skia.Paint, *spots: tuple[float, float], closed: bool = False) -> None:
    path = skia.Path()
    path.moveTo(*spots[0])
    for spot in spots[1:]:
        path.lineTo(*spot)
    if closed:
        path.close()
    canvas.drawPath(path, paint)


def _box(canvas: skia.Canvas, x: float, y: float, wide: float, high: float, fill: int, edge: int) -> None:
    box = skia.Rect.MakeXYWH(x, y, wide, high)
    canvas.drawRoundRect(box, 3, 3, _fill(fill))
    canvas.drawRoundRect(box, 3, 3, _stroke(edge))


def _child(
    canvas: skia.Canvas, slug: str, phase: float, x: float, high: float, look: int, ground: float = 95.0
) -> None:
    draw_figure(
        canvas,
        pose(slug, phase),
        view=animation(slug).view,
        centre_x=x,
        ground_y=ground,
        height=high,
        look=LOOKS[look % len(LOOKS)],
        colours=FigureColours(),
    )


def _lead(canvas: skia.Canvas, theme: Theme) -> None:
    """A clock on a screen, a loudspeaker's waves, and children who do a move before it."""
    _box(canvas, 20, 4, 60, 50, theme.face, theme.ink)
    draw_dial(canvas, ClockTime(4, 40), centre=(50, 29), radius=22, theme=theme)
    for reach in (5.0, 10.0):
        arc = skia.Rect.MakeXYWH(84 - reach, 29 - reach, 2 * reach, 2 * reach)
        canvas.drawArc(arc, -50, 100, False, _stroke(theme.strip))
        arc = skia.Rect.MakeXYWH(16 - reach, 29 - reach, 2 * reach, 2 * reach)
        canvas.drawArc(arc, 130, 100, False, _stroke(theme.strip))
    for number, x in enumerate((22.0, 50.0, 78.0)):
        _child(canvas, "star-jumps", 0.22 + 0.06 * number, x, 34, number, 93.0)


def _substitute(canvas: skia.Canvas, theme: Theme) -> None:
    """One steps out, drawn in dashes; another steps in."""
    dashed = _stroke(theme.ghost)
    dashed.setPathEffect(skia.DashPathEffect.Make([5.0, 5.0], 0.0))
    canvas.drawCircle(24, 26, 10, dashed)
    _lines(canvas, dashed, (12, 70), (12, 50), (24, 40), (36, 50), (36, 70))
    _lines(canvas, dashed, (18, 62), (18, 93))
    _lines(canvas, dashed, (30, 62), (30, 93))
    _child(canvas, "march", 0.0, 74, 78, 2)
    arrow = _stroke(theme.strip, 5)
    _lines(canvas, arrow, (38, 14), (56, 14))
    _lines(canvas, arrow, (50, 7), (57, 14), (50, 21))


def _pencil_at(canvas: skia.Canvas, theme: Theme, x: float, y: float, long: float) -> None:
    """Draw a pencil whose point is at (x, y), leaning to the right."""
    canvas.save()
    canvas.translate(x, y)
    canvas.rotate(38)
    wide = long / 6
    body = [(-wide, -2 * wide), (wide, -2 * wide), (wide, -long), (-wide, -long)]
    _lines(canvas, _fill(theme.light), *body, closed=True)
    _lines(canvas, _fill(theme.face), (0, 0), (wide, -2 * wide), (-wide, -2 * wide), closed=True)
    for line in (body, [(0, 0), (wide, -2 * wide), (-wide, -2 * wide)]):
        _lines(canvas, _stroke(theme.ink, 2.5), *line, closed=True)
    _lines(canvas, _fill(theme.ink), (0, 0), (wide / 2, -wide), (-wide / 2, -wide), closed=True)
    canvas.restore()


def _make(canvas: skia.Canvas, theme: Theme) -> None:
    """A dial, and a pencil at the end of its long hand."""
    draw_dial(canvas, ClockTime(10, 15), centre=(42, 58), radius=40, theme=theme)
    _pencil_at(canvas, theme, 69, 57, 46)


def _classes(canvas: skia.Canvas, theme: Theme) -> None:
    """A class before what it has shown."""
    for place, high in enumerate((16.0, 26.0, 38.0)):
        _box(
            canvas, 20 + 22 * place, 46 - high, 16, high, theme.strip if place < 2 else theme.face, theme.ink
        )
    for number, x in enumerate((14.0, 38.0, 62.0, 86.0)):
        _child(canvas, "march", 0.0, x, 42, number + 1)


def _record(canvas: skia.Canvas, theme: Theme) -> None:
    """Bars over a line."""
    for place, high in enumerate((24.0, 44.0, 34.0, 62.0)):
        _box(canvas, 12 + 20 * place, 84 - high, 14, high, theme.strip, theme.ink)
    _lines(canvas, _stroke(theme.ink), (6, 86), (94, 86))


def _folder(canvas: skia.Canvas, theme: Theme) -> None:
    """A folder that is handed on."""
    _lines(canvas, _fill(theme.light), (8, 84), (8, 24), (36, 24), (44, 34), (78, 34), (78, 84), closed=True)
    _lines(canvas, _stroke(theme.ink), (8, 84), (8, 24), (36, 24), (44, 34), (78, 34), (78, 84), closed=True)
    arrow = _stroke(theme.strip, 6)
    _lines(canvas, arrow, (40, 60), (94, 60))
    _lines(canvas, arrow, (82, 48), (94, 60), (82, 72))


def _forget(canvas: skia.Canvas, theme: Theme) -> None:
    """A bin."""
    _lines(canvas, _stroke(theme.ink, 4), (24, 30), (30, 92), (70, 92), (76, 30))
    _lines(canvas, _stroke(theme.ink, 4), (16, 28), (84, 28))
    _lines(canvas, _stroke(theme.ink, 4), (40, 26), (42, 16), (58, 16), (60, 26))
    for x in (41.0, 50.0, 59.0):
        _lines(canvas, _stroke(theme.ghost), (x, 42), (x, 80))


def _page(canvas: skia.Canvas, theme: Theme) -> None:
    _box(canvas, 18, 8, 54, 84, theme.face, theme.ink)
    for y in (30.0, 44.0, 58.0):
        _lines(canvas, _stroke(theme.ghost), (28, y), (62, y))


def _pencil(canvas: skia.Canvas, theme: Theme) -> None:
    """A page, and a pencil on it."""
    _page(canvas, theme)
    _pencil_at(canvas, theme, 44, 76, 56)


def _new(canvas: skia.Canvas, theme: Theme) -> None:
    """An empty page with a plus sign."""
    _box(canvas, 18, 8, 64, 84, theme.face, theme.ink)
    for line in (((34, 50), (66, 50)), ((50, 34), (50, 66))):
        _lines(canvas, _stroke(theme.strip, 7), *line)


def _nobody(canvas: skia.Canvas, theme: Theme) -> None:
    """A page on which nothing is written."""
    _box(canvas, 18, 8, 64, 84, theme.face, theme.ink)
    _lines(canvas, _stroke(theme.ghost, 4), (28, 80), (72, 20))


def _making(canvas: skia.Canvas, theme: Theme) -> None:
    """A page that is being written."""
    _page(canvas, theme)
    _child(canvas, "slow-breaths", 0.0, 80, 60, 0)


def _arrow(canvas: skia.Canvas, theme: Theme, way: float) -> None:
    thick = _stroke(theme.ink, 9)
    _lines(canvas, thick, (50 - 38 * way, 50), (50 + 38 * way, 50))
    _lines(canvas, thick, (50 + 10 * way, 22), (50 + 38 * way, 50), (50 + 10 * way, 78))


def _loudspeaker(canvas: skia.Canvas, theme: Theme, waves: int) -> None:
    """A loudspeaker, and how far it is heard."""
    cone = ((14, 38), (30, 38), (52, 18), (52, 82), (30, 62), (14, 62))
    _lines(canvas, _fill(theme.ink), *cone, closed=True)
    for wave in range(waves):
        reach = 16.0 + 14.0 * wave
        arc = skia.Rect.MakeXYWH(52 - reach, 50 - reach, 2 * reach, 2 * reach)
        canvas.drawArc(arc, -50, 100, False, _stroke(theme.ink, 6))


def _hall(canvas: skia.Canvas, theme: Theme) -> None:
    """A hall, seen from its door: the far wall, the floor and a court's lines."""
    _box(canvas, 4, 10, 92, 76, theme.face, theme.ink)
    _box(canvas, 30, 26, 40, 28, theme.background, theme.ink)
    for near, far in (((4, 10), (30, 26)), ((96, 10), (70, 26)), ((4, 86), (30, 54)), ((96, 86), (70, 54))):
        _lines(canvas, _stroke(theme.ink), near, far)
    _lines(canvas, _stroke(theme.strip), (23, 78), (39, 58), (61, 58), (77, 78), closed=True)


def _screen(canvas: skia.Canvas, theme: Theme) -> None:
    """A picture with a clock."""
    _box(canvas, 4, 20, 92, 56, theme.face, theme.ink)
    draw_dial(canvas, ClockTime(4, 40), centre=(50, 48), radius=24, theme=theme)


def _rows(canvas: skia.Canvas, theme: Theme) -> None:
    """The last row before a screen, and how far away it is."""
    _box(canvas, 4, 36, 5, 44, theme.strip, theme.ink)
    _child(canvas, "march", 0.0, 88, 46, 3, 80.0)
    _lines(canvas, _stroke(theme.strip, 4), (14, 92), (88, 92))
    for x, way in ((14, 1), (88, -1)):
        _lines(canvas, _stroke(theme.strip, 4), (x + 7 * way, 86), (x, 92), (x + 7 * way, 98))


def _pale_and_dark(theme: Theme) -> tuple[int, int]:
    """Return the two colours of a cloth, the pale one first: an eye or a face is pale on either."""
    dark, pale = sorted((theme.notice, theme.notice_text), key=lightness)
    return pale, dark


def _look(canvas: skia.Canvas, theme: Theme) -> None:
    """Two eyes that look up, for a cloth."""
    pale, dark = _pale_and_dark(theme)
    for x in (4.0, 56.0):
        eye = skia.Rect.MakeXYWH(x, 8, 40, 84)
        canvas.drawOval(eye, _fill(pale))
        canvas.drawOval(eye, _stroke(dark, 7))
        canvas.drawCircle(x + 20, 36, 13, _fill(dark))


def _stop(canvas: skia.Canvas, theme: Theme) -> None:
    """An open hand held up, for a cloth."""
    hand = _stroke(theme.notice_text, 11.0)
    fingers = ((38, 62, 25, 24), (46, 58, 41, 7), (55, 58, 60, 7), (63, 62, 77, 24), (38, 84, 10, 56))
    for x, y, to_x, to_y in fingers:
        _lines(canvas, hand, (x, y), (to_x, to_y))
    canvas.drawRoundRect(skia.Rect.MakeLTRB(32, 52, 69, 96), 12, 12, _fill(theme.notice_text))


def _hush(canvas: skia.Canvas, theme: Theme) -> None:
    """A face with a finger before its mouth, for a cloth."""
    pale, dark = _pale_and_dark(theme)
    canvas.drawCircle(50, 47, 44, _fill(pale))
    canvas.drawCircle(50, 47, 44, _stroke(dark, 7))
    for x in (29.0, 71.0):
        canvas.drawCircle(x, 34, 7.5, _fill(dark))
    _lines(canvas, _stroke(dark, 8), (30, 65), (70, 65))
    for wide, colour in ((25.0, dark), (13.0, pale)):
        _lines(canvas, _stroke(colour, wide), (50, 46), (50, 90))


_DRAWN: Final[Mapping[Drawing, Callable[[skia.Canvas, Theme], None]]] = MappingProxyType(
    {
        "lead": _lead,
        "substitute": _substitute,
        "make": _make,
        "classes": _classes,
        "record": _record,
        "folder": _folder,
        "forget": _forget,
        "pencil": _pencil,
        "new": _new,
        "nobody": _nobody,
        "making": _making,
        "back": lambda canvas, theme: _arrow(canvas, theme, -1),
        "on": lambda canvas, theme: _arrow(canvas, theme, 1),
        "hall": _hall,
        "screen": _screen,
        "rows": _rows,
        "look": _look,
        "stop": _stop,
        "hush": _hush,
        "softer": lambda canvas, theme: _loudspeaker(canvas, theme, 1),
        "louder": lambda canvas, theme: _loudspeaker(canvas, theme, 3),
    }
)

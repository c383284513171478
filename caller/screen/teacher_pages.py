"""The pages that lie over a lesson for the teacher: what every button does, and whether the picture is right.

The second is drawn to the very edge, with what shows a fault of the projector: corners, lines as fine as the
picture has, greys beside each other, a round clock, and letters as large as a caption's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from caller.clock import ClockTime
from caller.screen import Rect
from caller.screen.caption import CAPTION_SIZE
from caller.screen.dial import draw_dial
from caller.screen.keytable import ARROWS
from caller.screen.layout import unit_of
from caller.screen.skia_door import skia
from caller.screen.text import draw_block, fit, width_of
from caller.screen.theme import Theme, at_lightness

_LABEL: Final = 0.026  # sizes as shares of the picture's unit
_TEXT: Final = 0.03
_TURNED: Final = {ARROWS["right"]: 0.0, ARROWS["down"]: 90.0, ARROWS["left"]: 180.0, ARROWS["up"]: 270.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyPage:
    """Rows of buttons, each with what it does."""

    title: str
    rows: tuple[tuple[tuple[str, ...], str], ...]
    foot: str = ""


def draw_key_page(canvas: skia.Canvas, page: KeyPage, *, width: int, height: int, theme: Theme) -> None:
    """Draw the page on a whole picture."""
    canvas.clear(theme.background)
    unit = unit_of(width, height)
    margin = 0.06 * unit
    title = fit(
        page.title, width=width - 2 * margin, height=0.1 * unit, largest=0.07 * unit, lines=1, bold=True
    )
    draw_block(canvas, title, x=margin, top=margin, colour=theme.ink, align="left")
    room = Rect(x=margin, y=0.19 * unit, width=width - 2 * margin, height=height - 0.31 * unit)
    count = math.ceil(len(page.rows) / 2)
    each = room.height / max(count, 1)
    half = (room.width - margin) / 2
    for place, (keys, text) in enumerate(page.rows):
        row = Rect(
            x=room.x + (place // count) * (half + margin),
            y=room.y + (place % count) * each,
            width=half,
            height=each,
        )
        _draw_row(canvas, keys, text, row, unit, theme)
    foot = fit(page.foot, width=width - 2 * margin, height=0.08 * unit, largest=_TEXT * unit, lines=2)
    draw_block(canvas, foot, x=margin, top=height - 0.1 * unit, colour=theme.quiet, align="left")


@dataclass(frozen=True, slots=True, kw_only=True)
class PicturePage:
    """A picture to set a projector by.

    Attributes
    ----------
    rows
        What to look at, and what to do where it is not so: corners, lines, greys, clock, last row.
    read
        What the last row reads.
    """

    title: str
    rows: tuple[str, ...]
    read: str
    foot: str


TESTED: Final = ClockTime(7, 23)
"""What the clock of the picture test shows: a time that nobody guesses."""

GREYS: Final = (0.0, 6.0, 20.0, 40.0, 60.0, 80.0, 94.0, 100.0)
"""L* of the greys: at both ends they lie close, where light in the hall drowns them first."""

_TURN: Final = 0.055  # between the lines of a corner and its edges; sizes as shares of the picture's unit
_LINES: Final = 0.085  # side of a patch of lines
_ROW_TEXT: Final = 0.034


def draw_picture_page(
    canvas: skia.Canvas, page: PicturePage, *, width: int, height: int, theme: Theme
) -> None:
    """Draw the page on a whole picture, to its edge."""
    canvas.clear(theme.background)
    unit = unit_of(width, height)
    _draw_corners(canvas, width, height, unit, theme)
    margin = (_TURN + _LINES + 0.03) * unit
    title = fit(page.title, width=width - 2 * margin, height=0.09 * unit, largest=0.065 * unit, bold=True)
    draw_block(canvas, title, x=margin, top=0.035 * unit, colour=theme.ink, align="left")
    foot = fit(page.foot, width=width - 2 * margin, height=0.05 * unit, largest=_TEXT * unit, lines=1)
    draw_block(canvas, foot, x=margin, top=height - 0.06 * unit, colour=theme.quiet, align="left")
    read = fit(
        page.read,
        width=width - 2 * margin,
        height=0.11 * unit,
        largest=CAPTION_SIZE * unit,
        lines=1,
        bold=True,
    )
    read_at = height - 0.085 * unit - read.height
    draw_block(canvas, read, x=width / 2, top=read_at, colour=theme.ink)
    room = Rect(x=margin, y=0.145 * unit, width=width - 2 * margin, height=read_at - 0.165 * unit)
    radius = min(0.5 * room.height, 0.21 * room.width)
    draw_dial(canvas, TESTED, centre=(room.right - radius, room.centre_y), radius=radius, theme=theme)
    rows = Rect(x=room.x, y=room.y, width=room.width - 2.1 * radius, height=room.height)
    each, beside = rows.height / len(page.rows), 0.17 * unit
    wide = rows.width - beside
    size = min(
        fit(words, width=wide, height=0.9 * each, largest=_ROW_TEXT * unit, lines=4).size
        for words in page.rows
    )
    for place, words in enumerate(page.rows):
        sign = Rect(x=rows.x, y=rows.y + place * each, width=beside - 0.02 * unit, height=each)
        if place == 1:
            _draw_lines(canvas, sign.x, sign.centre_y - _LINES * unit / 2, unit, theme)
        elif place == 2:
            _draw_greys(canvas, sign.inset(0.0, 0.2 * each))
        else:
            number = fit(f"{place + 1}", width=sign.width, height=each, largest=0.07 * unit, bold=True)
            top = sign.centre_y - number.height / 2
            draw_block(canvas, number, x=sign.x, top=top, colour=theme.quiet, align="left")
        block = fit(words, width=wide, height=each, largest=size, lines=4)
        top = sign.centre_y - block.height / 2
        draw_block(canvas, block, x=rows.x + beside, top=top, colour=theme.ink, align="left")


def _draw_corners(canvas: skia.Canvas, width: int, height: int, unit: float, theme: Theme) -> None:
    """Draw a frame on the outermost pixels, an angle in each corner, and fine lines beside it."""
    ink = skia.Paint(Color=theme.ink)
    thin, thick, long = max(1, round(0.002 * unit)), round(0.012 * unit), round(0.12 * unit)
    side, away = _LINES * unit, _TURN * unit
    for x, y, wide, tall in (
        (0, 0, width, thin),
        (0, height - thin, width, thin),
        (0, 0, thin, height),
        (width - thin, 0, thin, height),
    ):
        canvas.drawRect(skia.Rect.MakeXYWH(x, y, wide, tall), ink)
    for right in (False, True):
        for low in (False, True):
            x, y = (width - long if right else 0), (height - thick if low else 0)
            canvas.drawRect(skia.Rect.MakeXYWH(x, y, long, thick), ink)
            x, y = (width - thick if right else 0), (height - long if low else 0)
            canvas.drawRect(skia.Rect.MakeXYWH(x, y, thick, long), ink)
            _draw_lines(
                canvas,
                width - away - side if right else away,
                height - away - side if low else away,
                unit,
                theme,
            )


def _draw_lines(canvas: skia.Canvas, x: float, y: float, unit: float, theme: Theme) -> None:
    """Draw a patch of lines, upright and level: one pixel wide and one apart, two and two, three and three.

    They lie on whole pixels, without soft edges.
    """
    part = max(6, round(_LINES * unit / 3))
    half = part + part // 2
    x, y, ink = round(x), round(y), skia.Paint(Color=theme.ink)
    canvas.drawRect(skia.Rect.MakeXYWH(x, y, 3 * part, 2 * half), skia.Paint(Color=theme.face))
    for number, wide in enumerate((1, 2, 3)):
        left = x + number * part
        for at in range(0, part - wide, 2 * wide):
            canvas.drawRect(skia.Rect.MakeXYWH(left + at, y, wide, half - 3), ink)
        for at in range(3, half - wide, 2 * wide):
            canvas.drawRect(skia.Rect.MakeXYWH(left, y + half + at, part - 3, wide), ink)


def _draw_greys(canvas: skia.Canvas, room: Rect) -> None:
    """Draw the greys side by side, the dark ones over the pale ones."""
    each = room.width / (len(GREYS) / 2)
    for number, light in enumerate(GREYS):
        row, column = divmod(number, len(GREYS) // 2)
        box = skia.Rect.MakeXYWH(
            room.x + column * each, room.y + row * room.height / 2, each, room.height / 2
        )
        canvas.drawRect(box, skia.Paint(Color=at_lightness(0xFF808080, light)))


def _draw_row(
    canvas: skia.Canvas, keys: tuple[str, ...], text: str, row: Rect, unit: float, theme: Theme
) -> None:
    """Draw the caps of a row, and what they do beside them."""
    caps = 0.44 * row.width
    x = row.x
    for key in keys:
        wide = width_of_cap(key, unit)
        if x + wide > row.x + caps and x > row.x:
            break  # a further button of the same meaning is on the page of keys
        draw_cap(
            canvas, key, Rect(x=x, y=row.centre_y - 0.025 * unit, width=wide, height=0.05 * unit), unit, theme
        )
        x += wide + 0.012 * unit
    left = max(x, row.x + caps) + 0.01 * unit
    words = fit(text, width=row.right - left, height=0.9 * row.height, largest=_TEXT * unit, lines=3)
    draw_block(canvas, words, x=left, top=row.centre_y - words.height / 2, colour=theme.ink, align="left")


def width_of_cap(key: str, unit: float) -> float:
    """Return how wide the cap of a key is drawn."""
    return max(width_of(key, _LABEL * unit, True) + 0.03 * unit, 0.055 * unit)


def draw_cap(canvas: skia.Canvas, key: str, room: Rect, unit: float, theme: Theme) -> None:
    """Draw the cap of one key, with what is printed on it."""
    box = skia.Rect.MakeXYWH(room.x, room.y, room.width, room.height)
    corner = 0.008 * unit
    canvas.drawRoundRect(box, corner, corner, skia.Paint(AntiAlias=True, Color=theme.face))
    edge = skia.Paint(
        AntiAlias=True, Color=theme.ghost, Style=skia.Paint.kStroke_Style, StrokeWidth=0.003 * unit
    )
    canvas.drawRoundRect(box, corner, corner, edge)
    if key in _TURNED:
        _draw_arrow(canvas, room.centre_x, room.centre_y, _TURNED[key], 0.016 * unit, theme)
        return
    label = fit(key, width=room.width, height=room.height, largest=_LABEL * unit, lines=1, bold=True)
    draw_block(canvas, label, x=room.centre_x, top=room.centre_y - label.height / 2, colour=theme.ink)


def _draw_arrow(
    canvas: skia.Canvas, x: float, y: float, turned_deg: float, reach: float, theme: Theme
) -> None:
    """Draw an arrow as it stands on its key: the typeface has none."""
    path = skia.Path()
    path.moveTo(-reach, 0.0)
    path.lineTo(reach, 0.0)
    path.moveTo(0.3 * reach, -0.6 * reach)
    path.lineTo(reach, 0.0)
    path.lineTo(0.3 * reach, 0.6 * reach)
    canvas.save()
    canvas.translate(x, y)
    canvas.rotate(turned_deg)
    stroke = skia.Paint(
        AntiAlias=True, Color=theme.ink, Style=skia.Paint.kStroke_Style, StrokeWidth=0.2 * reach
    )
    canvas.drawPath(path, stroke)
    canvas.restore()

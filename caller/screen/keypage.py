"""What every button does: key caps with their labels, in two columns."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from caller.screen import Rect
from caller.screen.keytable import ARROWS
from caller.screen.layout import unit_of
from caller.screen.skia_door import skia
from caller.screen.text import draw_block, fit, width_of
from caller.screen.theme import Theme

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

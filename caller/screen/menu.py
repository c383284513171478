"""A menu of pictures: tiles with a dial and a title, one of them chosen."""

from __future__ import annotations

import math
from dataclasses import dataclass

from caller.clock.times import ClockTime
from caller.screen.dial import draw_dial
from caller.screen.layout import unit_of
from caller.screen.rect import Rect
from caller.screen.skia_door import skia
from caller.screen.text import draw_block, fit
from caller.screen.theme import Theme

_MOST_ON_A_PAGE = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One thing to choose."""

    title: str
    note: str = ""
    time: ClockTime | None = None  # what its dial shows; no dial where None


@dataclass(frozen=True, slots=True, kw_only=True)
class Menu:
    """What can be chosen, and what the keys do."""

    tiles: tuple[Tile, ...]
    selected: int = 0
    title: str = ""
    hint: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TilePlaces:
    """Where the tiles of the page with the chosen one stand, by their number in the menu."""

    tiles: dict[int, Rect]
    page: int
    pages: int


def tile_places(menu: Menu, width: float, height: float) -> TilePlaces:
    """Return where tiles stand; also for finding the tile under a pointer."""
    unit = unit_of(width, height)
    count = len(menu.tiles)
    pages = max(1, math.ceil(count / _MOST_ON_A_PAGE))
    page = menu.selected // _MOST_ON_A_PAGE
    first = page * _MOST_ON_A_PAGE
    on_page = range(first, min(count, first + _MOST_ON_A_PAGE))
    room = Rect(x=0.06 * unit, y=0.17 * unit, width=width - 0.12 * unit, height=height - 0.3 * unit)
    gap = 0.035 * unit
    # Tiles are as large on the last page as on the others.
    alike = max(1, min(count, _MOST_ON_A_PAGE))
    columns = _columns(alike, room, gap)
    rows = math.ceil(alike / columns)
    each_width = (room.width - (columns - 1) * gap) / columns
    each_height = (room.height - (rows - 1) * gap) / rows
    # A single tile is stretched neither into a banner nor into a column.
    tile_width, tile_height = min(each_width, 1.5 * each_height), min(each_height, 1.4 * each_width)
    left = room.x + (room.width - columns * tile_width - (columns - 1) * gap) / 2
    tiles = {
        number: Rect(
            x=left + (n % columns) * (tile_width + gap),
            y=room.y + (n // columns) * (tile_height + gap),
            width=tile_width,
            height=tile_height,
        )
        for n, number in enumerate(on_page)
    }
    return TilePlaces(tiles=tiles, page=page, pages=pages)


def _columns(count: int, room: Rect, gap: float) -> int:
    """Return the number of columns that makes the dials largest."""

    def side(columns: int) -> float:
        rows = math.ceil(count / columns)
        return min(
            (room.width - (columns - 1) * gap) / columns,
            (room.height - (rows - 1) * gap) / rows,
        )

    return max(range(1, count + 1), key=side)


def draw_menu(canvas: skia.Canvas, menu: Menu, *, width: int, height: int, theme: Theme) -> None:
    """Draw a menu on a whole picture."""
    unit = unit_of(width, height)
    canvas.clear(theme.background)
    margin = 0.06 * unit
    title = fit(
        menu.title,
        width=width - 6 * margin,
        height=0.1 * unit,
        largest=0.07 * unit,
        lines=1,
        bold=True,
    )
    draw_block(canvas, title, x=margin, top=0.06 * unit, colour=theme.ink, align="left")
    placed = tile_places(menu, width, height)
    for number, room in placed.tiles.items():
        _draw_tile(canvas, menu.tiles[number], room, unit, theme, chosen=number == menu.selected)
    if placed.pages > 1:
        page = fit(
            f"{placed.page + 1} / {placed.pages}", width=margin * 3, height=0.08 * unit, largest=0.05 * unit
        )
        draw_block(canvas, page, x=width - margin, top=0.07 * unit, colour=theme.quiet, align="right")
    hint = fit(menu.hint, width=width - 2 * margin, height=0.08 * unit, largest=0.036 * unit, lines=2)
    top = height - 0.055 * unit - hint.height / 2
    draw_block(canvas, hint, x=width / 2, top=top, colour=theme.quiet)


def _draw_tile(
    canvas: skia.Canvas, tile: Tile, room: Rect, unit: float, theme: Theme, *, chosen: bool
) -> None:
    """Draw one tile: a dial over a title and a note; the chosen one has a heavy edge."""
    box = skia.Rect.MakeXYWH(room.x, room.y, room.width, room.height)
    corner = 0.025 * unit
    canvas.drawRoundRect(box, corner, corner, skia.Paint(AntiAlias=True, Color=theme.face))
    edge = skia.Paint(
        AntiAlias=True,
        Color=theme.strip if chosen else theme.ghost,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=(0.014 if chosen else 0.003) * unit,
    )
    canvas.drawRoundRect(box, corner, corner, edge)
    inside = room.inset(0.028 * unit)
    words = 0.36 * inside.height if tile.time is not None else inside.height
    if tile.time is not None:
        tall = inside.height - words
        radius = min(0.48 * tall, inside.width / 2)
        centre = (inside.centre_x, inside.y + tall / 2)
        draw_dial(canvas, tile.time, centre=centre, radius=radius, theme=theme)
    low = Rect(x=inside.x, y=inside.bottom - words, width=inside.width, height=words)
    share = 0.62 if tile.note else 0.9
    title = fit(
        tile.title,
        width=low.width,
        height=share * low.height,
        largest=min(0.05 * unit, 0.34 * low.height),
        lines=2,
        bold=True,
    )
    note = fit(
        tile.note,
        width=low.width,
        height=(0.9 - share) * low.height,
        largest=min(0.034 * unit, 0.24 * low.height),
        lines=1,
    )
    gap = 0.35 * note.size if note.lines else 0.0
    top = low.bottom - (low.height - title.height - gap - note.height) / 2
    top -= title.height + gap + note.height
    draw_block(canvas, title, x=low.centre_x, top=top, colour=theme.ink)
    draw_block(canvas, note, x=low.centre_x, top=top + title.height + gap, colour=theme.quiet)

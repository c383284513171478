"""A menu of pictures: tiles with a dial or a drawing, over a bar that says how to go on and back."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import accumulate
from typing import Final, Literal

from caller.clock import ClockTime
from caller.screen import Rect
from caller.screen.dial import draw_dial
from caller.screen.drawings import Drawing, draw_drawing
from caller.screen.layout import unit_of
from caller.screen.scene import Scene
from caller.screen.skia_door import skia
from caller.screen.stage import draw_scene
from caller.screen.teacher_pages import draw_cap, width_of_cap
from caller.screen.text import draw_block, fit, width_of
from caller.screen.theme import Theme

_MOST_ON_A_PAGE: Final = 12
_MOST_ON_A_NARROW_PAGE: Final = 8
_NARROW: Final = 1.5  # times its height: a page that is not wider than this has one column fewer
_MOST_LARGE: Final = 4  # so many tiles stand two abreast, with large pictures
_MARGIN: Final = 0.04  # sizes as shares of the picture's unit
_SMALL: Final = 0.028  # the smallest letters
_BAR: Final = 0.105
_GAP: Final = 0.024


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One thing to choose: words, and a dial or a drawing."""

    title: str
    note: str = ""
    time: ClockTime | None = None  # what its dial shows; no dial where None
    drawing: Drawing | None = None
    share: float | None = None  # of a class, from 0 to 1, as a bar under the words
    scale: float = 1.0  # how much of its room the drawing fills, where sizes are compared


BarSign = Literal["back", "picture", "keys", "softer", "louder", "on"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BarButton:
    """One of the buttons that stand under a page: its sign, its word, and the key that does the same.

    Word and key may be empty.
    """

    sign: BarSign
    text: str
    key: str

    @property
    def drawing(self) -> Drawing | None:
        """Return the picture that stands for it; none where its word has to do."""
        match self.sign:
            case "picture" | "keys":
                return None
            case sign:
                return sign


@dataclass(frozen=True, slots=True, kw_only=True)
class Menu:
    """What can be chosen, and how.

    Attributes
    ----------
    selected
        The number of the chosen tile; the buttons of the bar are counted on after the last tile.
    ways
        How to choose and to take: keys, each with what they do.
    hint
        How else.
    page
        The page to show where a button is chosen; the chosen tile's otherwise.
    scene
        What fills the page over the bar, in the place of tiles.
    """

    tiles: tuple[Tile, ...]
    selected: int = 0
    title: str = ""
    ways: tuple[tuple[tuple[str, ...], str], ...] = ()
    hint: str = ""
    bar: tuple[BarButton, ...] = ()
    page: int = 0
    scene: Scene | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TilePlaces:
    """Where everything that can be pressed stands on the page, tiles and bar buttons by their number."""

    tiles: dict[int, Rect]
    bar: dict[int, Rect]
    before: Rect | None
    after: Rect | None
    page: int
    pages: int
    columns: int

    def under(self, x: float, y: float) -> int | None:
        """Return the number of what is under a pointer."""
        return next((number for number, room in (self.tiles | self.bar).items() if _holds(room, x, y)), None)

    def page_turned(self, x: float, y: float) -> int:
        """Return by how many pages a press here turns."""
        after = self.after is not None and _holds(self.after, x, y)
        return int(after) - int(self.before is not None and _holds(self.before, x, y))


def most_on_a_page(width: float, height: float) -> int:
    """Return how many tiles a page holds."""
    return _MOST_ON_A_NARROW_PAGE if width < _NARROW * height else _MOST_ON_A_PAGE


def tile_places(menu: Menu, width: float, height: float) -> TilePlaces:
    """Return where tiles and buttons stand; also for finding what is under a pointer."""
    unit = unit_of(width, height)
    margin = _MARGIN * unit
    count = len(menu.tiles)
    most = most_on_a_page(width, height)
    pages = max(1, math.ceil(count / most))
    page = menu.selected // most if menu.selected < count else min(menu.page, pages - 1)
    on_page = range(page * most, min(count, (page + 1) * most))
    top, foot = 0.135 * unit, (_BAR + 0.035) * unit
    room = Rect(x=margin, y=top, width=width - 2 * margin, height=height - top - foot)
    # Tiles are as large on the last page as on the others.
    tiles, columns = _in_rows(on_page, min(count, most), most // 4, room, _GAP * unit)
    turn = Rect(x=width - margin - 0.09 * unit, y=0.03 * unit, width=0.09 * unit, height=0.08 * unit)
    return TilePlaces(
        tiles=tiles,
        bar=_bar_places(menu, unit, width, height),
        before=Rect(x=turn.x - 0.24 * unit, y=turn.y, width=turn.width, height=turn.height)
        if pages > 1
        else None,
        after=turn if pages > 1 else None,
        page=page,
        pages=pages,
        columns=columns,
    )


def draw_menu(canvas: skia.Canvas, menu: Menu, *, width: int, height: int, theme: Theme) -> None:
    """Draw a menu on a whole picture."""
    unit = unit_of(width, height)
    canvas.clear(theme.background)
    margin = _MARGIN * unit
    placed = tile_places(menu, width, height)
    if menu.scene is not None:
        canvas.save()
        over = round(height - (_BAR + 0.02) * unit)
        canvas.clipRect(skia.Rect.MakeWH(width, over))
        draw_scene(canvas, menu.scene, width=width, height=over, theme=theme)
        canvas.restore()
    right = placed.before.x - margin if placed.before is not None else width - margin
    title = fit(
        menu.title,
        width=right - margin,
        height=0.095 * unit,
        largest=0.06 * unit,
        lines=2,
        bold=True,
    )
    top = 0.07 * unit - title.height / 2
    draw_block(canvas, title, x=margin, top=top, colour=theme.ink, align="left")
    for number, room in placed.tiles.items():
        _draw_tile(canvas, menu.tiles[number], room, unit, theme, chosen=number == menu.selected)
    _draw_pages(canvas, placed, unit, theme)
    for button, (number, room) in zip(menu.bar, placed.bar.items(), strict=True):
        _draw_button(canvas, button, room, unit, theme, chosen=number == menu.selected)
    _draw_ways(canvas, menu, placed, width, height, theme)


def _in_rows(on_page: range, count: int, abreast: int, room: Rect, gap: float) -> tuple[dict[int, Rect], int]:
    """Return where tiles stand in equal rows that fill a room, and how many stand abreast."""
    columns = max(1, min(count, 2 if count <= _MOST_LARGE else abreast))
    rows = max(1, math.ceil(count / columns))
    each_width = (room.width - (columns - 1) * gap) / columns
    each_height = (room.height - (rows - 1) * gap) / rows
    # A few tiles are stretched neither into banners nor into columns.
    wide, high = min(each_width, 2.2 * each_height if count <= _MOST_LARGE else each_width), each_height
    high = min(high, 1.2 * wide)
    left = room.x + (room.width - columns * wide - (columns - 1) * gap) / 2
    tiles = {
        number: Rect(
            x=left + (n % columns) * (wide + gap),
            y=room.y + (n // columns) * (high + gap),
            width=wide,
            height=high,
        )
        for n, number in enumerate(on_page)
    }
    return tiles, columns


def _bar_places(menu: Menu, unit: float, width: float, height: float) -> dict[int, Rect]:
    """Return where the bar's buttons stand: the first at its left end, the others at its right."""
    margin, tall, gap = _MARGIN * unit, 0.085 * unit, 0.012 * unit
    top = height - 0.02 * unit - tall
    wide = [_width_of_button(button, unit) for button in menu.bar]
    over = sum(wide) + gap * (len(wide) - 1) - (width - 2 * margin)
    if over > 0:  # narrow pictures and long words: what stands round the words gives way
        wide = [each - over / len(wide) for each in wide]
    ends = list(accumulate(each + gap for each in reversed(wide[1:])))
    lefts = [margin, *(width - margin + gap - end for end in reversed(ends))]
    return {
        len(menu.tiles) + place: Rect(x=left, y=top, width=each, height=tall)
        for place, (left, each) in enumerate(zip(lefts, wide, strict=False))
    }


def _width_of_button(button: BarButton, unit: float) -> float:
    parts = [0.055 * unit] if button.drawing is not None else []
    parts += [width_of(button.text, _LETTERS * unit, True)] if button.text else []
    parts += [width_of_cap(button.key, unit)] if button.key else []
    return sum(parts) + 0.016 * unit * (len(parts) + 1)


_LETTERS: Final = 0.032  # of the words on buttons


def _draw_button(
    canvas: skia.Canvas, button: BarButton, room: Rect, unit: float, theme: Theme, *, chosen: bool
) -> None:
    """Draw a button of the bar: its sign, its word, and the key that does the same."""
    _draw_box(canvas, room, unit, theme, chosen=chosen)
    spare = room.width - _width_of_button(button, unit)
    parts = sum(part is not None for part in (button.drawing, button.text or None, button.key or None))
    gap = 0.016 * unit + spare / (parts + 1)
    x = room.x + gap
    if button.drawing is not None:
        sign = Rect(x=x, y=room.y + 0.015 * unit, width=0.055 * unit, height=0.055 * unit)
        draw_drawing(canvas, button.drawing, sign, theme)
        x = sign.right + gap
    words = fit(
        button.text, width=room.width, height=room.height, largest=_LETTERS * unit, lines=1, bold=True
    )
    top = room.centre_y - words.height / 2 + 0.004 * unit
    draw_block(canvas, words, x=x, top=top, colour=theme.ink, align="left")
    if button.key:
        wide = width_of_cap(button.key, unit)
        cap = Rect(x=room.right - wide - gap, y=room.centre_y - 0.025 * unit, width=wide, height=0.05 * unit)
        draw_cap(canvas, button.key, cap, unit, theme)


def _draw_ways(
    canvas: skia.Canvas, menu: Menu, placed: TilePlaces, width: float, height: float, theme: Theme
) -> None:
    """Draw how to choose and to take, between the buttons of the bar."""
    unit = unit_of(width, height)
    gap = 0.02 * unit
    left, right = _MARGIN * unit, width - _MARGIN * unit
    for number, room in placed.bar.items():
        if number == len(menu.tiles):
            left = room.right
        else:
            right = min(right, room.x)
    middle = Rect(x=left + gap, y=height - 0.105 * unit, width=right - left - 2 * gap, height=0.085 * unit)
    widths = [
        sum(width_of_cap(key, unit) + 0.008 * unit for key in keys)
        + width_of(text, _SMALL * unit, False)
        + 0.006 * unit
        for keys, text in menu.ways
    ]
    x = middle.centre_x - (sum(widths) + 0.03 * unit * (len(widths) - 1)) / 2
    for (keys, text), wide in zip(menu.ways, widths, strict=True):
        at = x
        for key in keys:
            cap = Rect(x=at, y=middle.y - 0.002 * unit, width=width_of_cap(key, unit), height=0.044 * unit)
            draw_cap(canvas, key, cap, unit, theme)
            at += cap.width + 0.008 * unit
        words = fit(text, width=2 * wide, height=0.05 * unit, largest=_SMALL * unit, lines=1)
        top = middle.y + 0.02 * unit - words.height / 2 + 0.003 * unit
        draw_block(canvas, words, x=at + 0.004 * unit, top=top, colour=theme.quiet, align="left")
        x += wide + 0.03 * unit
    below = 0.05 * unit if menu.ways else 0.02 * unit
    hint = fit(
        menu.hint,
        width=middle.width,
        height=middle.height - below,
        largest=_SMALL * unit,
        lines=1 if menu.ways else 2,
    )
    draw_block(canvas, hint, x=middle.centre_x, top=middle.y + below + 0.008 * unit, colour=theme.quiet)


def _draw_pages(canvas: skia.Canvas, placed: TilePlaces, unit: float, theme: Theme) -> None:
    """Draw which page it is, between what turns to the one before and the one after."""
    if placed.before is None or placed.after is None:
        return
    for room, sign in ((placed.before, "back"), (placed.after, "on")):
        _draw_box(canvas, room, unit, theme, chosen=False)
        draw_drawing(canvas, "back" if sign == "back" else "on", room.inset(0.015 * unit), theme)
    between = (placed.before.right + placed.after.x) / 2
    page = fit(
        f"{placed.page + 1} / {placed.pages}", width=0.14 * unit, height=0.08 * unit, largest=0.036 * unit
    )
    top = placed.after.centre_y - page.height / 2
    draw_block(canvas, page, x=between, top=top, colour=theme.quiet)


def _draw_box(canvas: skia.Canvas, room: Rect, unit: float, theme: Theme, *, chosen: bool) -> None:
    box = skia.Rect.MakeXYWH(room.x, room.y, room.width, room.height)
    corner = 0.02 * unit
    canvas.drawRoundRect(box, corner, corner, skia.Paint(AntiAlias=True, Color=theme.face))
    edge = skia.Paint(
        AntiAlias=True,
        Color=theme.strip if chosen else theme.ghost,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=(0.014 if chosen else 0.003) * unit,
    )
    canvas.drawRoundRect(box, corner, corner, edge)


def _draw_tile(
    canvas: skia.Canvas, tile: Tile, room: Rect, unit: float, theme: Theme, *, chosen: bool
) -> None:
    """Draw one tile: its picture beside the words where it is wide, or over them; a heavy edge if chosen."""
    _draw_box(canvas, room, unit, theme, chosen=chosen)
    inside = room.inset(0.02 * unit, 0.016 * unit)
    picture, words = _parts(tile, inside, unit)
    if tile.time is not None:
        radius = 0.5 * min(picture.width, picture.height)
        draw_dial(canvas, tile.time, centre=(picture.centre_x, picture.centre_y), radius=radius, theme=theme)
    elif tile.drawing is not None:
        edge = 0.5 * (1.0 - tile.scale)
        drawn = picture.inset(edge * picture.width, edge * picture.height)
        draw_drawing(canvas, tile.drawing, drawn, theme)
    beside = picture.width > 0 and words.x >= picture.right
    if tile.share is not None:
        words = _draw_share(canvas, tile.share, words, unit, theme)
    large = min(0.062 * unit, max(0.036 * unit, 0.2 * room.height)) if not tile.note else 0.05 * unit
    note = fit(tile.note, width=words.width, height=0.62 * words.height, largest=0.032 * unit, lines=3)
    gap = 0.4 * note.size if note.lines else 0.0
    title = fit(
        tile.title,
        width=words.width,
        height=words.height - gap - note.height,
        largest=max(_SMALL * unit, min(large, 0.36 * words.height)),
        lines=3,
        bold=True,
    )
    top = words.centre_y - (title.height + gap + note.height) / 2
    x, align = (words.x, "left") if beside else (words.centre_x, "centre")
    draw_block(canvas, title, x=x, top=top, colour=theme.ink, align="left" if align == "left" else "centre")
    draw_block(
        canvas,
        note,
        x=x,
        top=top + title.height + gap,
        colour=theme.quiet,
        align="left" if beside else "centre",
    )


def _draw_share(canvas: skia.Canvas, share: float, room: Rect, unit: float, theme: Theme) -> Rect:
    """Draw a share as a bar at the foot of a room; return what is left of the room."""
    tall = 0.022 * unit
    y = room.bottom - tall
    canvas.drawRect(skia.Rect.MakeXYWH(room.x, y, room.width, tall), skia.Paint(Color=theme.strip_track))
    canvas.drawRect(skia.Rect.MakeXYWH(room.x, y, share * room.width, tall), skia.Paint(Color=theme.strip))
    return Rect(x=room.x, y=room.y, width=room.width, height=room.height - 1.5 * tall)


def _parts(tile: Tile, inside: Rect, unit: float) -> tuple[Rect, Rect]:
    """Return where a tile's picture and its words stand."""
    if tile.time is None and tile.drawing is None:
        return Rect(x=inside.x, y=inside.y, width=0.0, height=0.0), inside
    gap = 0.02 * unit
    if inside.width > 1.9 * inside.height:
        side = min(inside.height, 0.36 * inside.width)
        picture = Rect(x=inside.x, y=inside.y, width=side, height=inside.height)
        left = picture.right + gap
        return picture, Rect(x=left, y=inside.y, width=inside.right - left, height=inside.height)
    share = 0.6 * inside.height
    picture = Rect(x=inside.x, y=inside.y, width=inside.width, height=share - gap)
    return picture, Rect(x=inside.x, y=inside.y + share, width=inside.width, height=inside.height - share)


def _holds(room: Rect, x: float, y: float) -> bool:
    return room.x <= x <= room.right and room.y <= y <= room.bottom

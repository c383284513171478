"""Words on the stage: the band at the foot with what is being said, a title with points, and notices.

A signal that is heard is seen there too, for who does not hear it: a cloth as wide as the picture comes up
over the band, with one large drawing, and sinks before the words begin.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from caller.runsheet import Board
from caller.screen import Rect
from caller.screen.drawings import Drawing, draw_drawing
from caller.screen.ground import draw_sign
from caller.screen.layout import ASKED_SIZE
from caller.screen.scene import HallSignal, RaisedSignal
from caller.screen.skia_door import skia
from caller.screen.text import (
    DESCENT,
    TextBlock,
    cap_height,
    draw_block,
    draw_in,
    draw_numeral,
    fit,
    readable,
)
from caller.screen.theme import Theme

CAPTION_SIZE = 0.074  # of the letters, in units
LAST_SECONDS = 5  # these are counted in numerals
_SIGN_MARGIN = 0.035  # beside the words on a sign, in units: the letters of a crowded eye keep off its edge
_BULLET_ROOM = 1.1  # left of a point, in letter sizes
_HEM = 0.05  # of a signal's cloth, in its heights
_SIGNALS: Final[Mapping[HallSignal, Drawing]] = MappingProxyType(
    {"attention": "look", "time-up": "stop", "quiet": "hush"}
)


def last_seconds(think_s: float | None, left_s: float) -> int | None:
    """Return the number to show in the last seconds of think time, or None before and after."""
    seconds = math.ceil(left_s)
    return seconds if think_s is not None and 0 < seconds <= LAST_SECONDS else None


def draw_caption(
    canvas: skia.Canvas, text: str, number: int | None, room: Rect, *, unit: float, theme: Theme
) -> None:
    """Draw the words being said and a number; the number has the middle when nothing is said."""
    size = 0.9 * room.height / cap_height(True)
    if number is not None:
        held = 1.1 * size
        x = room.x + held / 2 if text else room.centre_x
        draw_numeral(canvas, str(number), x=x, y=room.centre_y, size=size, colour=theme.ink)
        if text:
            # As much is kept free on the right, so that the words stay in the middle.
            room = room.inset(held, 0.0)
    lines = 2 if room.width > 1.2 * unit else 3
    block = fit(
        text, width=0.96 * room.width, height=room.height, largest=CAPTION_SIZE * unit, lines=lines, bold=True
    )
    draw_block(
        canvas,
        block,
        x=room.centre_x,
        top=room.y + (room.height - block.height) / 2,
        colour=theme.ink,
    )


def names_fit(names: Sequence[str], rooms: Sequence[Rect], unit: float) -> list[TextBlock] | None:
    """Return the names of the lanes' moves in one size; None where the last row could not read them."""
    blocks = [_name(name, room, CAPTION_SIZE * unit) for name, room in zip(names, rooms, strict=True)]
    size = min(block.size for block in blocks)
    blocks = [_name(name, room, size) for name, room in zip(names, rooms, strict=True)]
    return blocks if all(block.lines and readable(block, unit) for block in blocks) else None


def _name(name: str, room: Rect, largest: float) -> TextBlock:
    return fit(name, width=0.92 * room.width, height=room.height, largest=largest, lines=2, bold=True)


def fits_between(text: str, room: Rect, unit: float) -> bool:
    """Tell whether a caption can be read between the names of two moves."""
    if not text:
        return True
    block = fit(text, width=room.width, height=room.height, largest=CAPTION_SIZE * unit, lines=2, bold=True)
    return block.size == CAPTION_SIZE * unit


def cloth_place(raised: RaisedSignal, foot: Rect) -> Rect:
    """Return how much of the picture's foot the cloth of a signal covers."""
    tall = raised.up * foot.height
    return Rect(x=foot.x, y=foot.bottom - tall, width=foot.width, height=tall)


def draw_cloth(canvas: skia.Canvas, raised: RaisedSignal, foot: Rect, *, theme: Theme) -> None:
    """Draw the cloth of a signal as far as it has come up: dark on a light picture, light on a dark one."""
    place = cloth_place(raised, foot)
    canvas.save()
    canvas.clipRect(skia.Rect.MakeXYWH(place.x, place.y, place.width, place.height))
    whole = skia.Rect.MakeXYWH(place.x, place.y, foot.width, foot.height)
    canvas.drawRect(whole, skia.Paint(Color=theme.notice))
    hem = _HEM * foot.height
    line = skia.Rect.MakeXYWH(place.x, place.y + 0.7 * hem, foot.width, 0.5 * hem)
    canvas.drawRect(line, skia.Paint(Color=theme.notice_text))
    room = Rect(x=place.x, y=place.y + 1.9 * hem, width=foot.width, height=foot.height - 2.6 * hem)
    draw_drawing(canvas, _SIGNALS[raised.signal], room, theme)
    canvas.restore()


def draw_notice(canvas: skia.Canvas, text: str, room: Rect, *, theme: Theme) -> None:
    """Draw the program's own word over the title's place, light on dark or dark on light."""
    box = skia.Rect.MakeXYWH(room.x, room.y, room.width, room.height)
    paint = skia.Paint(AntiAlias=True, Color=theme.notice)
    canvas.drawRoundRect(box, room.height / 4, room.height / 4, paint)
    inside = room.inset(0.3 * room.height, 0.1 * room.height)
    block = fit(
        text,
        width=inside.width,
        height=inside.height,
        largest=0.68 * room.height,
        lines=2,
        bold=True,
    )
    top = inside.y + (inside.height - block.height) / 2
    draw_block(canvas, block, x=room.centre_x, top=top, colour=theme.notice_text)


def draw_words(canvas: skia.Canvas, board: Board, room: Rect, unit: float, theme: Theme) -> None:
    """Draw a large title, or a title with a list of points under it."""
    if not board.points:
        block = fit_in(board.title, room, 0.15 * unit, lines=4, bold=True)
        draw_in(canvas, block, room, theme.ink)
        return
    head = Rect(x=room.x, y=room.y, width=room.width, height=0.24 * room.height)
    title = fit_in(board.title, head, 0.085 * unit, lines=2, bold=True)
    draw_block(canvas, title, x=room.x, top=room.y, colour=theme.ink, align="left")
    top = room.y + (title.height + 0.06 * unit if title.lines else 0.0)
    points = _points(board.points, room.width, room.bottom - top, 0.078 * unit)
    size = points[0].size
    gap = 0.75 * size
    disc = skia.Paint(AntiAlias=True, Color=theme.ink)
    for block in points:
        canvas.drawCircle(room.x + 0.25 * size, top + 0.35 * size, 0.16 * size, disc)
        x = room.x + _BULLET_ROOM * size
        draw_block(canvas, block, x=x, top=top, colour=theme.ink, align="left")
        top += block.height + gap


def _points(texts: Sequence[str], width: float, height: float, largest: float) -> list[TextBlock]:
    """Fit a list of points, all in one size."""
    size = largest
    while True:
        blocks = [
            fit(text, width=width - _BULLET_ROOM * size, height=height, largest=size, lines=3, bold=True)
            for text in texts
        ]
        smallest = min(block.size for block in blocks)
        tall = sum(block.height for block in blocks) + 0.75 * size * (len(blocks) - 1)
        if (smallest == size and tall <= height) or size < 6.0:
            return blocks
        size = min(smallest, 0.95 * size)


def fit_in(text: str, room: Rect, largest: float, *, lines: int, bold: bool = False) -> TextBlock:
    """Fit a text into a room."""
    return fit(text, width=room.width, height=room.height, largest=largest, lines=lines, bold=bold)


def draw_asked(canvas: skia.Canvas, board: Board, room: Rect, unit: float, theme: Theme) -> None:
    """Draw what is asked in large type, and its words under it, or beside it in a low wide room."""
    alone = not board.dials
    if not alone:
        draw_sign(canvas, room, unit=unit, theme=theme)
        room = room.inset(_SIGN_MARGIN * unit, 0.012 * unit)
    if alone and room.width > 6 * room.height and board.asked and board.asked_words:
        asked = fit_in(board.asked, room, 0.16 * unit, lines=1, bold=True)
        left = room.width - asked.width - 0.06 * unit
        words = fit(board.asked_words, width=left, height=room.height, largest=0.1 * unit, lines=2, bold=True)
        x = room.centre_x - (asked.width + 0.06 * unit + words.width) / 2
        middle = room.y + room.height / 2
        draw_block(canvas, asked, x=x + asked.width / 2, top=middle - 0.35 * asked.size, colour=theme.ink)
        x += asked.width + 0.06 * unit + words.width / 2
        draw_block(canvas, words, x=x, top=middle - words.height / 2, colour=theme.ink)
        return
    share = 1.0 if not board.asked_words else (0.0 if not board.asked else 0.54)
    large = Rect(x=room.x, y=room.y, width=room.width, height=share * room.height)
    small = Rect(x=room.x, y=large.bottom, width=room.width, height=room.height - large.height)
    largest = (0.26 if alone else ASKED_SIZE) * unit
    asked = fit_in(
        board.asked, large, largest, lines=3 if alone else 1 if board.asked_words else 2, bold=True
    )
    lines = 4 if alone else 1 if board.asked else 2
    words = fit_in(board.asked_words, small, (0.11 if alone else 0.074) * unit, lines=lines, bold=True)
    if not readable(words, unit):
        words = TextBlock(lines=(), size=words.size, bold=True)
    # A time over its words has no letter that reaches below the line.
    gap = 0.5 * words.size - DESCENT * asked.size if asked.lines and words.lines else 0.0
    top = room.y + (room.height - asked.height - gap - words.height) / 2
    draw_block(canvas, asked, x=room.centre_x, top=top, colour=theme.ink)
    draw_block(canvas, words, x=room.centre_x, top=top + asked.height + gap, colour=theme.ink)

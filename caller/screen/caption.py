"""The band at the foot: the words being said and a large number; and the program's own notices."""

from __future__ import annotations

import math
from collections.abc import Sequence

from caller.screen.fonts import cap_height
from caller.screen.rect import Rect
from caller.screen.skia_door import skia
from caller.screen.text import Block, draw_block, draw_numeral, fit, readable
from caller.screen.theme import Theme

CAPTION_SIZE = 0.074  # of the letters, in units
LAST_SECONDS = 5  # these are counted in numerals


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


def names_fit(names: Sequence[str], rooms: Sequence[Rect], unit: float) -> list[Block] | None:
    """Return the names of the lanes' moves in one size; None where the last row could not read them."""
    blocks = [_name(name, room, CAPTION_SIZE * unit) for name, room in zip(names, rooms, strict=True)]
    size = min(block.size for block in blocks)
    blocks = [_name(name, room, size) for name, room in zip(names, rooms, strict=True)]
    return blocks if all(block.lines and readable(block, unit) for block in blocks) else None


def _name(name: str, room: Rect, largest: float) -> Block:
    return fit(name, width=0.92 * room.width, height=room.height, largest=largest, lines=2, bold=True)


def fits_between(text: str, room: Rect, unit: float) -> bool:
    """Tell whether a caption can be read between the names of two moves."""
    if not text:
        return True
    block = fit(text, width=room.width, height=room.height, largest=CAPTION_SIZE * unit, lines=2, bold=True)
    return block.size == CAPTION_SIZE * unit


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
        largest=0.6 * room.height,
        lines=2,
        bold=True,
    )
    top = inside.y + (inside.height - block.height) / 2
    draw_block(canvas, block, x=room.centre_x, top=top, colour=theme.notice_text)

"""Move cards to cut out: a figure in its telling poses (one, where a move is held), name and call."""

from __future__ import annotations

from collections.abc import Sequence

from caller.export.sheet_blocks import SheetWords
from caller.export.sheet_rounds import telling_step
from caller.export.sheet_text import INK, PAPER, QUIET, RULE, Style, height_of, stroke
from caller.moves.catalogue import find
from caller.runsheet.model import RunSheet
from caller.screen.figures_on_stage import Doing, alone, draw_performer, look_for
from caller.screen.rect import Rect
from caller.screen.skia_door import skia
from caller.screen.text import draw_block, fit

COLUMNS, ROWS = 2, 4
CARDS_ON_A_PAGE = COLUMNS * ROWS
_NOTE = Style(size=8.0, colour=QUIET)


def moves_of(run_sheet: RunSheet) -> tuple[str, ...]:
    """Return every move that answers a clock, in the order in which the lesson meets them."""
    lanes = (lane for call in run_sheet.calls for lane in call.board.lanes)
    return tuple(dict.fromkeys(lane.move for lane in lanes))


def draw_cards(
    canvas: skia.Canvas, moves: Sequence[str], words: SheetWords, language: str, room: Rect, *, first: int
) -> None:
    """Draw one page of cards with dashed lines to cut along; `first` is the number of its first card."""
    width, height = room.width / COLUMNS, room.height / ROWS
    for n, move in enumerate(moves):
        card = Rect(
            x=room.x + n % COLUMNS * width, y=room.y + n // COLUMNS * height, width=width, height=height
        )
        box = skia.Rect.MakeXYWH(card.x, card.y, card.width, card.height)
        paint = stroke(0.7, RULE)
        paint.setPathEffect(skia.DashPathEffect.Make([5.0, 4.0], 0.0))
        canvas.drawRect(box, paint)
        _draw_card(canvas, move, words, language, card.inset(10.0), first + n)


def _draw_card(
    canvas: skia.Canvas, move: str, words: SheetWords, language: str, room: Rect, number: int
) -> None:
    found = find(move)
    doing = Doing(what=move)
    note = "" if found.seated == move else words["sitting"].format(move=find(found.seated).name(language))
    foot = 50.0 + height_of(note, room.width, _NOTE)
    steps = (0,) if found.hold else (0, telling_step(move))
    width = room.width / len(steps)
    for n, step in enumerate(steps):
        place = Rect(x=room.x + n * width, y=room.y, width=width, height=room.height - foot)
        draw_performer(canvas, alone(doing, place, look=look_for(number), step=step), PAPER)
    top = room.bottom - foot + 6.0
    for text, largest, bold, colour in (
        (found.name(language), 22.0, True, INK),
        (found.call(language), 11.0, False, INK),
        (note, _NOTE.size, False, QUIET),
    ):
        block = fit(text, width=room.width, height=26.0, largest=largest, lines=1, bold=bold)
        draw_block(canvas, block, x=room.centre_x, top=top, colour=colour)
        top += block.height + 4.0

"""The paper sheet: a whole lesson that can be led from it alone, and its moves as cards.

Page one holds what to do before the children come, the usual cautions, what to do when the sound or the
screen fails, the times, and as many clocks as fit; the others flow onto further pages; the cards are last.
Everything is drawn by the same code as the screen, as lines and letters, not pixels.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path

from caller.export.job import Job, Paper
from caller.export.sheet_blocks import Block, SheetWords, blocks_of, parts_of_lesson, sheet_words
from caller.export.sheet_cards import CARDS_ON_A_PAGE, draw_cards, moves_of
from caller.export.sheet_front import draw_front
from caller.export.sheet_rounds import block_height, draw_clock_block
from caller.export.sheet_text import QUIET, Style, draw_heading, draw_paragraph
from caller.file_writing import fill
from caller.runsheet.model import RunSheet
from caller.screen.rect import Rect
from caller.screen.skia_door import skia
from caller.screen.text import width_of
from caller.timeline.layout import seconds_of

PAPERS: dict[Paper, tuple[float, float]] = {"a4": (595.276, 841.89), "letter": (612.0, 792.0)}
"""Width and height in points of 1/72 inch (ISO 216; ANSI/ASME Y14.1)."""

_MARGIN = 28.0  # office printers leave 4 to 6 mm white; 10 mm leaves room to hold the page
_FOOT = 16.0
_GAP = 8.0

Page = Callable[[skia.Canvas], None]


def write(job: Job, path: Path) -> None:
    """Write the lesson's sheet to `path`, on the paper that was chosen or that of the lesson's country."""
    programme = job.programme
    starts_s = [seconds_of(start) for start in programme.starts]
    usual: Paper = "letter" if programme.run_sheet.language == "en-US" else "a4"
    fill(path, sheet_pdf(programme.run_sheet, starts_s, paper=job.options.paper or usual))
    job.progress(1.0)


def sheet_pdf(run_sheet: RunSheet, starts_s: Sequence[float], *, paper: Paper = "a4") -> bytes:
    """Return the sheet as a PDF.

    Parameters
    ----------
    starts_s
        Where each call starts, in seconds from the lesson's start; last, the lesson's end.
    """
    width, height = PAPERS[paper]
    words = sheet_words(run_sheet.language)
    whole = Rect(x=0.0, y=0.0, width=width, height=height).inset(_MARGIN)
    room = Rect(x=whole.x, y=whole.y, width=whole.width, height=whole.height - _FOOT)
    pages = [*_lesson_pages(run_sheet, starts_s, words, room), *_card_pages(run_sheet, words, room)]
    stream = skia.DynamicMemoryWStream()
    metadata = skia.PDF.Metadata()
    metadata.fTitle = run_sheet.title
    document = skia.PDF.MakeDocument(stream, metadata)
    for number, page in enumerate(pages, start=1):
        canvas = document.beginPage(width, height)
        page(canvas)
        _draw_foot(canvas, run_sheet, words["page"].format(n=number, total=len(pages)), whole)
        document.endPage()
    document.close()
    return bytes(stream.detachAsData())


def _lesson_pages(
    run_sheet: RunSheet, starts_s: Sequence[float], words: SheetWords, room: Rect
) -> Iterator[Page]:
    """Yield the first page, and more where the clocks do not all fit on it."""
    parts = parts_of_lesson(run_sheet, starts_s)
    blank = skia.Surface(1, 1).getCanvas()
    top = draw_front(blank, run_sheet, parts, words, room)  # drawn once on nothing, to see where it ends
    rows = _rows(blocks_of(run_sheet, starts_s), words, (room.width - _GAP) / 2)
    yield partial(
        _draw_first_page,
        run_sheet=run_sheet,
        starts_s=starts_s,
        words=words,
        room=room,
        rows=_take(rows, room.bottom - top),
    )
    while rows:
        yield partial(_draw_rows, rows=_take(rows, room.height), words=words, room=room)


_Row = tuple[float, tuple[Block, ...]]


def _rows(blocks: Sequence[Block], words: SheetWords, width: float) -> list[_Row]:
    """Pair the clocks in rows, each with its height."""
    pairs = [tuple(blocks[n : n + 2]) for n in range(0, len(blocks), 2)]
    return [(max(block_height(block, words, width) for block in pair), pair) for pair in pairs]


def _take(rows: list[_Row], height: float) -> list[_Row]:
    """Take from the front of `rows` what fits into `height`."""
    taken: list[_Row] = []
    while rows and rows[0][0] <= height:
        taken.append(rows.pop(0))
        height -= taken[-1][0] + _GAP
    return taken


def _draw_first_page(
    canvas: skia.Canvas,
    *,
    run_sheet: RunSheet,
    starts_s: Sequence[float],
    words: SheetWords,
    room: Rect,
    rows: Sequence[_Row],
) -> None:
    top = draw_front(canvas, run_sheet, parts_of_lesson(run_sheet, starts_s), words, room)
    below = Rect(x=room.x, y=top, width=room.width, height=room.bottom - top)
    _draw_rows(canvas, rows=rows, words=words, room=below)


def _draw_rows(canvas: skia.Canvas, *, rows: Sequence[_Row], words: SheetWords, room: Rect) -> None:
    width, top = (room.width - _GAP) / 2, room.y
    for height, pair in rows:
        for column, block in enumerate(pair):
            x = room.x + column * (width + _GAP)
            draw_clock_block(canvas, block, words, Rect(x=x, y=top, width=width, height=height))
        top += height + _GAP


def _card_pages(run_sheet: RunSheet, words: SheetWords, room: Rect) -> Iterator[Page]:
    moves = moves_of(run_sheet)
    for first in range(0, len(moves), CARDS_ON_A_PAGE):
        yield partial(
            _draw_card_page,
            moves=moves[first : first + CARDS_ON_A_PAGE],
            words=words,
            language=run_sheet.language,
            room=room,
            first=first,
        )


def _draw_card_page(
    canvas: skia.Canvas, *, moves: Sequence[str], words: SheetWords, language: str, room: Rect, first: int
) -> None:
    top = draw_heading(canvas, words["cards"], x=room.x, top=room.y, width=room.width) + 4.0
    below = Rect(x=room.x, y=top, width=room.width, height=room.bottom - top)
    draw_cards(canvas, moves, words, language, below, first=first)


def _draw_foot(canvas: skia.Canvas, run_sheet: RunSheet, page: str, whole: Rect) -> None:
    style = Style(size=7.5, colour=QUIET)
    top = whole.bottom - style.pitch
    name = ", ".join(part for part in (run_sheet.title, run_sheet.class_name) if part)
    draw_paragraph(canvas, name, x=whole.x, top=top, width=0.8 * whole.width, style=style)
    x = whole.right - width_of(page, style.size)
    draw_paragraph(canvas, page, x=x, top=top, width=whole.width, style=style)

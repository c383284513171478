"""The paper sheet: a whole lesson that can be led from it alone, and its moves as cards to cut out.

Page one holds what to do before the children come, the usual cautions, what to do when the sound or the
screen fails, the times, and as many clocks as fit; the others flow onto further pages; the cards are last.
Everything is drawn by the same code as the screen, as lines and letters, not pixels.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path

from caller.export.formats import Job, Paper
from caller.export.sheet_clocks import (
    PaperClock,
    PartStart,
    SheetWords,
    block_height,
    blocks_of,
    draw_clock_block,
    label_of,
    parts_of_lesson,
    sheet_words,
    telling_step,
    words_of_part,
)
from caller.export.sheet_text import (
    PAPER,
    QUIET,
    READ_OUT,
    RULE,
    SHADE,
    SMALLEST,
    Style,
    draw_fitted,
    draw_heading,
    draw_labelled,
    draw_list,
    draw_paragraph,
    height_of,
    stroke,
)
from caller.file_writing import fill
from caller.moves import find
from caller.moves.safety import cautions
from caller.runsheet import RunSheet
from caller.runsheet.forms import clock
from caller.screen import Rect
from caller.screen.figures_on_stage import FigureDoing, alone, draw_performer, look_for
from caller.screen.skia_door import skia
from caller.screen.text import width_of
from caller.timeline import seconds_of

_BODY = Style(size=SMALLEST)
_GUTTER = 16.0


def draw_front(
    canvas: skia.Canvas, run_sheet: RunSheet, parts: Sequence[PartStart], words: SheetWords, room: Rect
) -> float:
    """Draw what comes before the clocks, and return where it ends."""
    top = _draw_head(canvas, run_sheet, parts[-1].start_s, words, room)
    width = (room.width - _GUTTER) / 2
    right = room.x + width + _GUTTER

    left_end = draw_heading(canvas, words["before"], x=room.x, top=top, width=width)
    left_end = draw_list(
        canvas, words["before-items"], x=room.x, top=left_end, width=width, style=_BODY, boxes=True
    )
    *usual, who_decides = cautions(run_sheet.language)
    right_end = draw_heading(canvas, words["safety"], x=right, top=top, width=width)
    right_end = draw_list(canvas, usual, x=right, top=right_end, width=width, style=_BODY, boxes=True)
    bold = Style(size=_BODY.size, bold=True)
    right_end = draw_paragraph(canvas, who_decides, x=right, top=right_end, width=width, style=bold)

    top = max(left_end, right_end) + 4.0
    left_end = draw_heading(canvas, words["fails"], x=room.x, top=top, width=width)
    left_end = draw_list(canvas, words["fails-items"], x=room.x, top=left_end, width=width, style=_BODY)
    right_end = draw_heading(canvas, words["order"], x=right, top=top, width=width)
    right_end = draw_list(canvas, words["order-items"], x=right, top=right_end, width=width, style=_BODY)

    top = max(left_end, right_end) + 4.0
    top = _draw_paper_lines(canvas, words, Rect(x=room.x, y=top, width=room.width, height=0.0))
    top = _draw_times(canvas, parts, words, Rect(x=room.x, y=top + 5.0, width=room.width, height=0.0))
    return _draw_spoken(canvas, run_sheet, parts, words, Rect(x=room.x, y=top, width=room.width, height=0.0))


def _draw_head(
    canvas: skia.Canvas, run_sheet: RunSheet, length_s: float, words: SheetWords, room: Rect
) -> float:
    draw_fitted(
        canvas,
        run_sheet.title or words["rounds"].capitalize(),
        x=room.x,
        top=room.y,
        width=0.68 * room.width,
        style=Style(size=19.0, bold=True),
    )
    length = words["minutes"].format(n=max(1, round(length_s / 60)))
    note = " · ".join(part for part in (run_sheet.class_name, length) if part)
    style = Style(size=11.0, bold=True)
    x = room.right - width_of(note, style.size, True)
    draw_paragraph(canvas, note, x=x, top=room.y, width=room.width, style=style)
    return (
        draw_paragraph(
            canvas,
            words["lead"],
            x=room.x,
            top=room.y + 19.0,
            width=room.width,
            style=Style(size=SMALLEST, colour=QUIET),
        )
        + 2.0
    )


def _draw_paper_lines(canvas: skia.Canvas, words: SheetWords, room: Rect) -> float:
    """Draw lines to write on by hand."""
    top = draw_heading(canvas, words["paper"], x=room.x, top=room.y, width=room.width)
    labels = words["paper-lines"]
    each = (room.width - _GUTTER * (len(labels) - 1)) / len(labels)
    end = top
    for number, label in enumerate(labels):
        x = room.x + number * (each + _GUTTER)
        style = Style(size=SMALLEST, colour=QUIET)
        below = draw_paragraph(
            canvas, words["label"].format(name=label), x=x, top=top, width=each, style=style
        )
        for line in range(2):
            y = below + 15.0 * (line + 1)
            canvas.drawLine(x, y, x + each, y, stroke(0.5))
        end = max(end, below + 32.0)
    return end


def _draw_times(canvas: skia.Canvas, parts: Sequence[PartStart], words: SheetWords, room: Rect) -> float:
    """Draw the start of every part in a row."""
    name, time = Style(size=SMALLEST), Style(size=SMALLEST, bold=True)
    cells = [(label_of("times", words), "")]
    cells += [(clock(part.start_s), words["rounds" if part.part == "round" else part.part]) for part in parts]
    widths = [width_of(start, time.size, True) + 4.0 + width_of(text, name.size) for start, text in cells]
    rows = _flowed(widths, room.width - 10.0, least_gap=8.0)
    height = 4.0 + time.pitch * len(rows)
    canvas.drawRect(skia.Rect.MakeXYWH(room.x, room.y, room.width, height), skia.Paint(Color=SHADE))
    top = room.y + 2.0
    for row in rows:
        gap = (room.width - 10.0 - sum(widths[n] for n in row)) / max(1, len(row) - 1)
        x = room.x + 5.0
        for n in row:
            start, text = cells[n]
            draw_paragraph(canvas, start, x=x, top=top, width=widths[n], style=time)
            after = x + width_of(start, time.size, True) + 4.0
            draw_paragraph(canvas, text, x=after, top=top, width=widths[n] + 1.0, style=name)
            x += widths[n] + min(gap, 24.0)
        top += time.pitch
    return room.y + height + 4.0


def _flowed(widths: Sequence[float], width: float, *, least_gap: float) -> list[list[int]]:
    """Return the numbers of what stands in each row, one after the other as words do."""
    rows: list[list[int]] = [[]]
    left = width
    for number, each in enumerate(widths):
        if rows[-1] and each > left:
            rows.append([])
            left = width
        rows[-1].append(number)
        left -= each + least_gap
    return rows


def _draw_spoken(
    canvas: skia.Canvas, run_sheet: RunSheet, parts: Sequence[PartStart], words: SheetWords, room: Rect
) -> float:
    """Draw the words before the first clock and after the last one."""
    top = room.y
    for part in parts:
        if part.part in ("opening", "close"):
            label = f"{clock(part.start_s)} {label_of(part.part, words)}"
            said = words_of_part(run_sheet, part.part)
            top = draw_labelled(canvas, label, said, x=room.x, top=top, width=room.width, style=_BODY)
            top += 2.0
    return top + 4.0


COLUMNS, ROWS = 2, 4
CARDS_ON_A_PAGE = COLUMNS * ROWS
_NOTE = Style(size=SMALLEST, colour=QUIET)


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
    doing = FigureDoing(what=move)
    note = "" if found.seated == move else words["sitting"].format(move=find(found.seated).name(language))
    foot = 50.0 + height_of(note, room.width, _NOTE)
    steps = (0,) if found.hold else (0, telling_step(move))
    width = room.width / len(steps)
    for n, step in enumerate(steps):
        place = Rect(x=room.x + n * width, y=room.y, width=width, height=room.height - foot)
        draw_performer(canvas, alone(doing, place, look=look_for(number), step=step), PAPER)
    top = room.bottom - foot + 6.0
    for text, style, lines in (
        (found.name(language), Style(size=22.0, bold=True), 1),
        (found.call(language), Style(size=11.0), 2),
        (note, _NOTE, 2),
    ):
        end = draw_fitted(
            canvas, text, x=room.centre_x, top=top, width=room.width, style=style, lines=lines, centred=True
        )
        top = end + 4.0


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
    usual: Paper = "letter" if programme.run_sheet.language.endswith("-US") else "a4"
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
    tags = skia.PDF.StructureElementNode()  # Skia's Python lets one be made: all that is read, in order
    tags.fTypeString, tags.fNodeId, tags.fLang = "Document", READ_OUT, run_sheet.language
    metadata.fStructureElementTreeRoot = tags
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


_Row = tuple[float, tuple[PaperClock, ...]]


def _rows(blocks: Sequence[PaperClock], words: SheetWords, width: float) -> list[_Row]:
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
    style = Style(size=SMALLEST, colour=QUIET)
    top = whole.bottom - style.pitch
    name = ", ".join(part for part in (run_sheet.title, run_sheet.class_name) if part)
    draw_paragraph(canvas, name, x=whole.x, top=top, width=0.8 * whole.width, style=style)
    x = whole.right - width_of(page, style.size)
    draw_paragraph(canvas, page, x=x, top=top, width=whole.width, style=style)

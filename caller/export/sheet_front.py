"""The upper part of the sheet's first page: all that is not one clock."""

from __future__ import annotations

from collections.abc import Sequence

from caller.export.sheet_blocks import PartStart, SheetWords, words_of_part
from caller.export.sheet_text import (
    INK,
    QUIET,
    SHADE,
    Style,
    draw_heading,
    draw_labelled,
    draw_list,
    draw_paragraph,
    stroke,
)
from caller.moves.safety import cautions
from caller.runsheet.model import RunSheet
from caller.runsheet.table import clock
from caller.screen.rect import Rect
from caller.screen.skia_door import skia
from caller.screen.text import draw_block, fit, width_of

_BODY = Style(size=8.2)
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
    title = fit(
        run_sheet.title or words["rounds"].capitalize(),
        width=0.68 * room.width,
        height=22.0,
        largest=19.0,
        lines=1,
        bold=True,
    )
    draw_block(canvas, title, x=room.x, top=room.y, colour=INK, align="left")
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
            style=Style(size=9.0, colour=QUIET),
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
        style = Style(size=7.6, colour=QUIET)
        below = draw_paragraph(canvas, f"{label}:", x=x, top=top, width=each, style=style)
        for line in range(2):
            y = below + 13.0 * (line + 1)
            canvas.drawLine(x, y, x + each, y, stroke(0.5))
        end = max(end, below + 28.0)
    return end


def _draw_times(canvas: skia.Canvas, parts: Sequence[PartStart], words: SheetWords, room: Rect) -> float:
    """Draw the start of every part in a row."""
    name, time = Style(size=8.0), Style(size=9.5, bold=True)
    height = 18.0
    canvas.drawRect(skia.Rect.MakeXYWH(room.x, room.y, room.width, height), skia.Paint(Color=SHADE))
    cells = [(f"{words['times']}:", "")]
    cells += [(clock(part.start_s), words["rounds" if part.part == "round" else part.part]) for part in parts]
    widths = [width_of(start, time.size, True) + 4.0 + width_of(text, name.size) for start, text in cells]
    gap = (room.width - 10.0 - sum(widths)) / max(1, len(cells) - 1)
    x = room.x + 5.0
    for (start, text), width in zip(cells, widths, strict=True):
        draw_paragraph(canvas, start, x=x, top=room.y + 3.0, width=width, style=time)
        after = x + width_of(start, time.size, True) + 4.0
        draw_paragraph(canvas, text, x=after, top=room.y + 4.2, width=width + 1.0, style=name)
        x += width + gap
    return room.y + height + 4.0


def _draw_spoken(
    canvas: skia.Canvas, run_sheet: RunSheet, parts: Sequence[PartStart], words: SheetWords, room: Rect
) -> float:
    """Draw the words before the first clock and after the last one."""
    top = room.y
    for part in parts:
        if part.part in ("opening", "close"):
            label, said = f"{clock(part.start_s)} {words[part.part]}:", words_of_part(run_sheet, part.part)
            top = draw_labelled(canvas, label, said, x=room.x, top=top, width=room.width, style=_BODY)
            top += 2.0
    return top + 4.0

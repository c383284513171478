"""Plain typesetting for a printed page: paragraphs, lists and rules, all sizes in points."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Final

from caller.screen.skia_door import skia
from caller.screen.text import Align, TextBlock, cap_height, draw_block, draw_line, fit, width_of
from caller.screen.theme import LIGHT, LaneColours, Theme

LEADING = 1.25
SMALLEST: Final = 10.0
"""Of all words on paper, in points: read in the hand, in a hall, by grown-ups of any age."""

READ_OUT: Final = 1
"""The number of what a screen reader reads of a page, in the order in which it is drawn; 0 is decoration."""

INK, QUIET, RULE, SHADE = 0xFF000000, 0xFF3A3A3A, 0xFF808080, 0xFFEDEDED

_WHITE = 0xFFFFFFFF
_PAPER_LANE = LaneColours(tint=_WHITE, edge=INK)
PAPER: Theme = replace(
    LIGHT,
    background=_WHITE,
    ink=INK,
    quiet=QUIET,
    face=_WHITE,
    tick=INK,
    left=_PAPER_LANE,
    middle=_PAPER_LANE,
    right=_PAPER_LANE,
)
"""Black on white: a page has to read the same from a printer without colour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """How letters look."""

    size: float
    bold: bool = False
    colour: int = INK

    @property
    def pitch(self) -> float:
        """From one line to the next."""
        return LEADING * self.size


def wrapped(text: str, width: float, style: Style) -> list[str]:
    """Return the lines of a paragraph; a word wider than the line keeps a line of its own."""
    lines: list[str] = []
    for word in _words(text):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, style.size, style.bold) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _words(text: str) -> list[str]:
    """Split text where a line may break: a space that must not, as before a French "!", stays."""
    return [word for word in text.split(" ") if word]


def height_of(text: str, width: float, style: Style) -> float:
    """Return the height of a paragraph."""
    return style.pitch * len(wrapped(text, width, style))


def draw_paragraph(
    canvas: skia.Canvas, text: str, *, x: float, top: float, width: float, style: Style
) -> float:
    """Draw a paragraph and return where it ends."""
    with _read_out(canvas):
        for line in wrapped(text, width, style):
            baseline = top + (style.pitch + cap_height(style.bold) * style.size) / 2
            draw_line(
                canvas,
                _to_be_joined(line),
                x=x,
                baseline=baseline,
                size=style.size,
                colour=style.colour,
                bold=style.bold,
                align="left",
            )
            top += style.pitch
    return top


@contextmanager
def _read_out(canvas: skia.Canvas) -> Iterator[None]:
    """Let a screen reader read what is drawn meanwhile."""
    skia.PDF.SetNodeId(canvas, READ_OUT)
    yield
    skia.PDF.SetNodeId(canvas, 0)


def _to_be_joined(line: str) -> str:
    return f"{line} "  # a screen reader joins one line to the next as they stand


def draw_read_block(
    canvas: skia.Canvas, block: TextBlock, *, x: float, top: float, colour: int, align: Align = "centre"
) -> None:
    """Draw words that were fitted into a room, to be read by a screen reader too."""
    joined = replace(block, lines=tuple(map(_to_be_joined, block.lines)))
    with _read_out(canvas):
        draw_block(canvas, joined, x=x, top=top, colour=colour, align=align)


def draw_fitted(
    canvas: skia.Canvas,
    text: str,
    *,
    x: float,
    top: float,
    width: float,
    style: Style,
    lines: int = 1,
    centred: bool = False,
) -> float:
    """Draw words as large as the style says, or as fit into a few lines, and return where they end."""
    block = fit(text, width=width, height=100.0, largest=style.size, lines=lines, bold=style.bold)
    draw_read_block(canvas, block, x=x, top=top, colour=style.colour, align="centre" if centred else "left")
    return top + block.height


def draw_labelled(
    canvas: skia.Canvas, label: str, text: str, *, x: float, top: float, width: float, style: Style
) -> float:
    """Draw a paragraph that begins with a bold label, and return where it ends."""
    if not text:
        return top
    bold = replace(style, bold=True)
    indent = width_of(label, style.size, True) + 0.5 * style.size
    first, *rest = _wrapped_after(text, width, indent, style)
    draw_paragraph(canvas, label, x=x, top=top, width=width, style=bold)
    draw_paragraph(canvas, first, x=x + indent, top=top, width=width, style=style)
    return draw_paragraph(canvas, " ".join(rest), x=x, top=top + style.pitch, width=width, style=style)


def labelled_height(label: str, text: str, width: float, style: Style) -> float:
    """Return the height that `draw_labelled` takes."""
    if not text:
        return 0.0
    indent = width_of(label, style.size, True) + 0.5 * style.size
    return style.pitch * len(_wrapped_after(text, width, indent, style))


def _wrapped_after(text: str, width: float, indent: float, style: Style) -> list[str]:
    """Return the lines of a paragraph whose first line begins after `indent`."""
    words = _words(text)
    count = 1
    while count < len(words) and width_of(" ".join(words[: count + 1]), style.size) <= width - indent:
        count += 1
    return [" ".join(words[:count]), *wrapped(" ".join(words[count:]), width, style)]


def draw_list(
    canvas: skia.Canvas,
    items: Sequence[str],
    *,
    x: float,
    top: float,
    width: float,
    style: Style,
    boxes: bool = False,
) -> float:
    """Draw a list, numbered or with boxes to tick, and return where it ends."""
    indent = 1.7 * style.size
    for number, item in enumerate(items, start=1):
        if boxes:
            side = 0.85 * style.size
            box = skia.Rect.MakeXYWH(x, top + (style.pitch - side) / 2, side, side)
            canvas.drawRect(box, stroke(0.8))
        else:
            draw_paragraph(canvas, f"{number}.", x=x, top=top, width=indent, style=replace(style, bold=True))
        top = draw_paragraph(canvas, item, x=x + indent, top=top, width=width - indent, style=style)
        top += 0.12 * style.size
    return top


def draw_heading(canvas: skia.Canvas, text: str, *, x: float, top: float, width: float) -> float:
    """Draw a heading over a rule and return where it ends."""
    top = draw_paragraph(canvas, text, x=x, top=top, width=width, style=Style(size=11.5, bold=True))
    canvas.drawLine(x, top, x + width, top, stroke(0.8))
    return top + 3.0


def stroke(width: float, colour: int = INK) -> skia.Paint:
    """Return a paint that draws lines."""
    return skia.Paint(AntiAlias=True, Color=colour, Style=skia.Paint.kStroke_Style, StrokeWidth=width)

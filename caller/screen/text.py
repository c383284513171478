"""Typefaces (Lexend, under the SIL Open Font License), and measuring, wrapping, fitting and drawing text.

Chosen by looking: its zero is plain (a slashed zero in "10:00" reads as a new sign to a child who
has just met ten), its 1 has a flag and a foot, and its 6, 9 and 4 are open.

Widths are measured once at a large size and scaled, which holds because the fonts are unhinted.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from itertools import groupby
from typing import Literal

from caller.screen import Rect
from caller.screen.skia_door import skia

_FILES = {False: "Lexend-Regular.ttf", True: "Lexend-Bold.ttf"}


def _load(name: str) -> skia.Typeface | None:
    try:
        data = resources.files("caller.screen").joinpath("fonts", name).read_bytes()
    except OSError:
        return None
    # A manager without the system's fonts: theirs are not looked for, nor complained about.
    return skia.FontMgr.New_Custom_Empty().makeFromData(skia.Data.MakeWithCopy(data))


@cache
def typeface(bold: bool) -> skia.Typeface:
    """Return the typeface, or the system's own where our file is missing or damaged."""
    found = _load(_FILES[bold])
    if found is None:
        style = skia.FontStyle.Bold() if bold else skia.FontStyle.Normal()
        found = skia.FontMgr().legacyMakeTypeface("", style)
    return found


@cache
def _stand_in(character: str, bold: bool) -> skia.Typeface | None:
    """Return some system typeface that can write a character ours cannot."""
    style = skia.FontStyle.Bold() if bold else skia.FontStyle.Normal()
    return skia.FontMgr().matchFamilyStyleCharacter("", style, [], ord(character))


def face_for(character: str, bold: bool = False) -> skia.Typeface:
    """Return the typeface that writes `character`: ours if it can."""
    ours = typeface(bold)
    if character.isspace() or ours.unicharToGlyph(ord(character)):
        return ours
    return _stand_in(character, bold) or ours


@cache
def _font(face_id: int, size: float) -> skia.Font:
    font = skia.Font(_faces[face_id], size)
    font.setEdging(skia.Font.Edging.kAntiAlias)
    # Without hinting a word is as wide at 40 px as at 400: layout does not depend on the window.
    font.setHinting(skia.FontHinting.kNone)
    font.setSubpixel(True)
    font.setLinearMetrics(True)
    return font


_faces: dict[int, skia.Typeface] = {}


def font(face: skia.Typeface, size: float) -> skia.Font:
    """Return an unhinted, anti-aliased font of `size` pixels."""
    _faces[face.uniqueID()] = face
    return _font(face.uniqueID(), size)


@cache
def cap_height(bold: bool) -> float:
    """Return the height of a capital (and of a numeral) as a share of the font size."""
    return float(font(typeface(bold), 1000.0).getMetrics().fCapHeight) / 1000.0


DESCENT = 0.22  # how far g and y reach below the line, as a share of the size
LEADING = 1.22  # line pitch as a share of the size
_MEASURED_AT = 256.0
_SMALLEST = 1.0  # pixels; fitting gives up here rather than loop
_STEP = 0.95
LEAST = 0.0585  # of the letters a class reads, in units: capitals of 16 minutes of arc from the last row

Align = Literal["left", "centre", "right"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TextBlock:
    """Text broken into lines at a size that fits its place."""

    lines: tuple[str, ...]
    size: float
    bold: bool

    @property
    def width(self) -> float:
        """The width of the widest line."""
        return max((width_of(line, self.size, self.bold) for line in self.lines), default=0.0)

    @property
    def height(self) -> float:
        """The height from the top of the first line's capitals to below the last descender."""
        if not self.lines:
            return 0.0
        return self.size * (cap_height(self.bold) + LEADING * (len(self.lines) - 1) + DESCENT)


@lru_cache(maxsize=4096)
def _runs(text: str, bold: bool) -> tuple[tuple[str, skia.Typeface, float], ...]:
    """Split text where the typeface changes; each run with its width at size 1."""
    runs = []
    for _, letters in groupby(
        ((face_for(letter, bold), letter) for letter in text), lambda one: one[0].uniqueID()
    ):
        pairs = list(letters)
        run = "".join(letter for _, letter in pairs)
        runs.append((run, pairs[0][0], font(pairs[0][0], _MEASURED_AT).measureText(run) / _MEASURED_AT))
    return tuple(runs)


def width_of(text: str, size: float, bold: bool = False) -> float:
    """Return the width of one line in pixels."""
    return size * sum(width for _, _, width in _runs(text, bold))


def _wrap(text: str, size: float, width: float, bold: bool) -> list[str] | None:
    """Fill lines greedily; None when a single word is wider than the line."""
    lines: list[str] = []
    # A no-break space (before a French "!") is no place to break; `split()` would break there.
    for word in re.split(r"[ \n]+", text.strip(" \n")):
        if width_of(word, size, bold) > width:
            return None
        if lines and width_of(f"{lines[-1]} {word}", size, bold) <= width:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return lines


def _balanced(text: str, size: float, width: float, bold: bool, count: int) -> list[str]:
    """Narrow the lines as far as their number allows, so that none is left with one word."""
    narrow, wide = width / 2, width
    best = _wrap(text, size, wide, bold) or []
    for _ in range(8):
        middle = (narrow + wide) / 2
        lines = _wrap(text, size, middle, bold)
        if lines is not None and len(lines) <= count:
            best, wide = lines, middle
        else:
            narrow = middle
    return best


@lru_cache(maxsize=2048)
def fit(
    text: str, *, width: float, height: float, largest: float, lines: int = 2, bold: bool = False
) -> TextBlock:
    """Return `text` wrapped to at most `lines`, at the largest size that fits the place.

    Words are never broken and never cut off: text that does not fit gets smaller.
    """
    if not text.strip():
        return TextBlock(lines=(), size=largest, bold=bold)
    size = largest
    while size > _SMALLEST:
        wrapped = _wrap(text, size, width, bold)
        if wrapped is not None and len(wrapped) <= lines:
            block = TextBlock(
                lines=tuple(_balanced(text, size, width, bold, len(wrapped))), size=size, bold=bold
            )
            if block.height <= height:
                return block
        size *= _STEP
    return TextBlock(lines=(text,), size=_SMALLEST, bold=bold)


def readable(block: TextBlock, unit: float) -> bool:
    """Tell whether the last row can read a text: what is smaller had better not be there."""
    return block.size >= LEAST * unit


def draw_in(canvas: skia.Canvas, block: TextBlock, room: Rect, colour: int) -> None:
    """Draw fitted text in the middle of its room."""
    top = room.y + (room.height - block.height) / 2
    draw_block(canvas, block, x=room.centre_x, top=top, colour=colour)


def draw_line(
    canvas: skia.Canvas,
    text: str,
    *,
    x: float,
    baseline: float,
    size: float,
    colour: int,
    bold: bool = False,
    align: Align = "centre",
) -> None:
    """Draw one line; `x` is its left end, middle or right end by `align`."""
    if align != "left":
        x -= width_of(text, size, bold) * (0.5 if align == "centre" else 1.0)
    paint = skia.Paint(AntiAlias=True, Color=colour)
    for run, face, width in _runs(text, bold):
        canvas.drawString(run, x, baseline, font(face, size), paint)
        x += width * size


def draw_numeral(
    canvas: skia.Canvas, text: str, *, x: float, y: float, size: float, colour: int, bold: bool = True
) -> None:
    """Draw a short text with the middle of its capitals exactly at (x, y)."""
    draw_line(
        canvas, text, x=x, baseline=y + size * cap_height(bold) / 2, size=size, colour=colour, bold=bold
    )


def draw_block(
    canvas: skia.Canvas,
    block: TextBlock,
    *,
    x: float,
    top: float,
    colour: int,
    align: Align = "centre",
) -> None:
    """Draw fitted text; `top` is where the capitals of its first line begin."""
    baseline = top + block.size * cap_height(block.bold)
    for line in block.lines:
        draw_line(
            canvas,
            line,
            x=x,
            baseline=baseline,
            size=block.size,
            colour=colour,
            bold=block.bold,
            align=align,
        )
        baseline += block.size * LEADING


def outline_of(text: str, *, x: float, y: float, size: float, bold: bool) -> skia.Path:
    """Return the shapes of a short text where `draw_numeral` puts it, their holes filled up."""
    path = skia.Path()
    at, baseline = x - width_of(text, size, bold) / 2, y + size * cap_height(bold) / 2
    for run, face, width in _runs(text, bold):
        large = font(face, _MEASURED_AT)
        scale = size / _MEASURED_AT
        glyphs = large.textToGlyphs(run)
        for glyph, start in zip(glyphs, large.getXPos(glyphs), strict=True):
            place = skia.Matrix().setScale(scale, scale).postTranslate(at + scale * start, baseline)
            shape = large.getPath(glyph)
            path.addPath(shape, place)
            # A letter's holes lie well inside its box.
            box = shape.getBounds()
            path.addPath(skia.Path.Rect(box.makeInset(0.2 * box.width(), 0.2 * box.height())), place)
        at += width * size
    return path

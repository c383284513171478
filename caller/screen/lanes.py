"""A lane: one choice, with its reading and its words on a banner, and the mat its figure stands on.

How lanes are told apart, and how the answer is shown, is told in `ground`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from caller.clock.said_and_shown import Numerals
from caller.deciding import Side
from caller.runsheet import Lane
from caller.screen import Rect
from caller.screen.dial import draw_dial
from caller.screen.ground import FLOOR_BEHIND, NOTCH, STEP_BACK, draw_banner, draw_light, draw_mat, draw_wall
from caller.screen.skia_door import skia
from caller.screen.text import TextBlock, cap_height, draw_block, draw_in, fit, readable
from caller.screen.theme import Theme, blend

_WIDE = 1.25  # a lane wider than this times its height has its figure beside the words
_FEET = 0.03  # of floor in front of a figure's feet, in units
_MAT = 0.085  # how deep a mat is drawn, in units
_NUMERAL, _WORDS = 0.17, 0.074  # the largest letters of a reading, and of its words, in units
_BARE = 0.028  # of cloth over a dial with no letters, in units
_ROUND = 0.01  # of plain cloth round letters, in units
_SIDE, _TOP, _BETWEEN = 0.027, 0.044, 0.028  # of cloth beside, over and between letters, in units


@dataclass(frozen=True, slots=True, kw_only=True)
class LanePlaces:
    """Where the parts of a lane go; a figure's feet are at the foot of its room, on the mat.

    The letters are of one size in all lanes: no choice is written larger than another. Words that could not
    be read from the last row are not there.
    """

    banner: Rect
    dial: Rect | None
    numeral: Rect
    words: Rect
    figure: Rect
    mat: Rect
    wall: Rect  # behind the figure, down to the skirting
    numeral_block: TextBlock
    words_block: TextBlock

    def letters(self, margin: float) -> Rect | None:
        """Return the place of the letters with a margin round them, or None where there are none."""
        shelves = [
            (shelf, block.width)
            for shelf, block in ((self.numeral, self.numeral_block), (self.words, self.words_block))
            if block.lines
        ]
        if not shelves:
            return None
        width = max(wide for _, wide in shelves)
        first, last = shelves[0][0], shelves[-1][0]
        room = Rect(x=first.centre_x - width / 2, y=first.y, width=width, height=last.bottom - first.y)
        return room.inset(-margin, -margin)


def lane_row(lanes: Sequence[Lane], rooms: Mapping[Side, Rect], unit: float) -> list[LanePlaces]:
    """Divide the lanes, each in its room; the rooms are as large as each other."""
    if not lanes:
        return []
    room = rooms[lanes[0].side]
    beside = room.width > _WIDE * room.height
    cloth_width = (0.6 if beside else 1.0) * room.width
    width = cloth_width - 2 * _SIDE * unit
    numerals = _same_size([lane.numeral for lane in lanes], width, _NUMERAL * unit, lines=1)
    words = [TextBlock(lines=(), size=_WORDS * unit, bold=True)] * len(lanes)
    for lines in (1, 2):
        tried = _same_size([lane.words for lane in lanes], width, _WORDS * unit, lines=lines)
        if all(readable(block, unit) for block in tried):
            words = tried
            break
    heights = max(map(_ink_height, numerals)), max(block.height for block in words)
    return [
        _places(lane, rooms[lane.side], unit, beside=beside, heights=heights, blocks=blocks)
        for lane, *blocks in zip(lanes, numerals, words, strict=True)
    ]


def _places(
    lane: Lane,
    room: Rect,
    unit: float,
    *,
    beside: bool,
    heights: tuple[float, float],
    blocks: Sequence[TextBlock],
) -> LanePlaces:
    feet = room.bottom - _FEET * unit
    cloth = Rect(x=room.x, y=room.y, width=(0.6 if beside else 1.0) * room.width, height=room.height)
    inside = cloth.inset(_SIDE * unit, (_TOP if heights[0] > 0.0 else _BARE) * unit)
    dial_height = 0.0
    if lane.dial is not None:
        dial_height = min(inside.width, inside.height - 1.3 * NOTCH * unit if beside else 0.4 * room.height)
    shelves = []
    held = [tall for tall in (dial_height, *heights) if tall > 0.0]
    y = inside.y
    if beside:
        free = inside.height - NOTCH * unit - sum(held) - _BETWEEN * unit * (len(held) - 1)
        y += max(0.0, free / 2)
    for tall in (dial_height, *heights):
        shelves.append(Rect(x=inside.x, y=y, width=inside.width, height=tall))
        y += tall + (_BETWEEN * unit if tall > 0.0 else 0.0)
    dial, numeral, words = shelves
    if beside:
        banner = Rect(x=room.x, y=room.y, width=cloth.width, height=room.height - 0.02 * unit)
        figure = Rect(x=banner.right, y=room.y, width=room.right - banner.right, height=feet - room.y)
        wall = figure.inset(0.03 * figure.width, 0.0)
    else:
        # The foot of the cloth hangs behind whatever a figure reaches up.
        held_to = y - _BETWEEN * unit
        foot = held_to + (1.3 * NOTCH + 0.012) * unit
        banner = Rect(x=room.x, y=room.y, width=room.width, height=foot - room.y)
        top = held_to + 0.028 * unit
        figure = Rect(x=inside.x, y=top, width=inside.width, height=feet - top)
        wall = Rect(x=room.x, y=banner.y, width=room.width, height=0.0)
    mat = Rect(
        x=figure.x + 0.03 * figure.width,
        y=room.bottom - _MAT * unit,
        width=0.94 * figure.width,
        height=_MAT * unit,
    )
    return LanePlaces(
        banner=banner,
        dial=dial if lane.dial is not None else None,
        numeral=numeral,
        words=words,
        figure=figure,
        mat=mat,
        wall=Rect(x=wall.x, y=wall.y, width=wall.width, height=feet - FLOOR_BEHIND * unit - wall.y),
        numeral_block=blocks[0],
        words_block=blocks[1],
    )


def draw_lane(
    canvas: skia.Canvas,
    lane: Lane,
    places: LanePlaces,
    *,
    unit: float,
    theme: Theme,
    heavy: bool,
    faded: bool,
    answer: bool,
    numerals: Numerals = "arabic",
) -> None:
    """Draw all of a lane that does not move.

    Parameters
    ----------
    heavy
        The lane is the answer, or is being talked about.
    faded
        Another lane is the answer.
    answer
        This lane is the answer: it stands in the light.
    numerals
        On its dial, where the choice is one.
    """
    draw_wall(canvas, lane.side, places.wall, unit=unit, theme=theme)
    if answer:
        draw_light(canvas, places.mat, places.banner.y, theme=theme)
    draw_banner(
        canvas,
        lane.side,
        places.banner,
        unit=unit,
        theme=theme,
        heavy=heavy,
        faded=faded,
        letters=places.letters(_ROUND * unit),
    )
    if lane.move:
        draw_mat(canvas, lane.side, places.mat, unit=unit, theme=theme, heavy=heavy, faded=faded, lit=answer)
    ink = blend(theme.ink, theme.lane(lane.side).tint, STEP_BACK) if faded else theme.ink
    if lane.dial is not None and places.dial is not None:
        radius = min(places.dial.width, places.dial.height) / 2
        centre = (places.dial.centre_x, places.dial.centre_y)
        draw_dial(canvas, lane.dial, centre=centre, radius=radius, theme=theme, numerals=numerals)
    numeral = places.numeral
    draw_block(canvas, places.numeral_block, x=numeral.centre_x, top=numeral.y, colour=ink)
    draw_in(canvas, places.words_block, places.words, ink)


def _ink_height(block: TextBlock) -> float:
    """Return the height of a reading: numerals have nothing under the line."""
    below = any(letter.isalpha() for line in block.lines for letter in line)
    return block.height if below else len(block.lines) * block.size * cap_height(True)


def _same_size(texts: Sequence[str], width: float, largest: float, *, lines: int) -> list[TextBlock]:
    """Fit texts to a width, all in the largest size that suits the longest."""

    def fitted(text: str, size: float) -> TextBlock:
        return fit(text, width=width, height=10.0 * largest, largest=size, lines=lines, bold=True)

    size = min(fitted(text, largest).size for text in texts)
    return [fitted(text, size) for text in texts]

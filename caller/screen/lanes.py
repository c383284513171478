"""A lane: one choice, with its reading and its words on a banner, and the mat its figure stands on.

How lanes are told apart, and how the answer is shown, is told in `ground`.
"""

from __future__ import annotations

from dataclasses import dataclass

from caller.runsheet.model import Lane
from caller.screen.dial import draw_dial
from caller.screen.ground import NOTCH, STEP_BACK, draw_banner, draw_light, draw_mat
from caller.screen.rect import Rect
from caller.screen.skia_door import skia
from caller.screen.text import Block, draw_block, fit
from caller.screen.theme import Theme, blend

_WIDE = 1.25  # a lane wider than this times its height has its figure beside the words
_FEET = 0.045  # of floor in front of a figure's feet, in units
WORDS_SIZE = 0.074  # the largest that the letters of a reading in words get, in units
_MAT = 0.085  # how deep a mat is drawn, in units


@dataclass(frozen=True, slots=True, kw_only=True)
class LanePlaces:
    """Where the parts of a lane go; a figure's feet are at the foot of its room, on the mat."""

    banner: Rect
    dial: Rect | None
    numeral: Rect
    words: Rect
    figure: Rect
    mat: Rect


def lane_places(lane: Lane, room: Rect, unit: float) -> LanePlaces:
    """Divide a lane."""
    feet = room.bottom - _FEET * unit
    if room.width > _WIDE * room.height:
        banner = Rect(x=room.x, y=room.y, width=0.6 * room.width, height=room.height - 0.02 * unit)
        inside = banner.inset(0.03 * unit, 0.034 * unit)
        dial, numeral, words = _shelves(lane, inside, (0.86, 0.46, 0.36))
        figure = Rect(x=banner.right, y=room.y, width=room.right - banner.right, height=feet - room.y)
    else:
        inside = room.inset(0.024 * unit, 0.036 * unit)
        dial, numeral, words = _shelves(lane, inside, (0.47, 0.19, 0.18))
        foot = (dial or words).bottom + (0.9 * NOTCH + 0.026) * unit
        banner = Rect(x=room.x, y=room.y, width=room.width, height=foot - room.y)
        figure = Rect(x=inside.x, y=foot, width=inside.width, height=feet - foot)
    mat = Rect(
        x=figure.x + 0.03 * figure.width,
        y=room.bottom - _MAT * unit,
        width=0.94 * figure.width,
        height=_MAT * unit,
    )
    return LanePlaces(banner=banner, dial=dial, numeral=numeral, words=words, figure=figure, mat=mat)


def _shelves(lane: Lane, room: Rect, shares: tuple[float, float, float]) -> tuple[Rect | None, Rect, Rect]:
    """Stack the dial or the numeral and words from the top."""
    dial_share, numeral_share, words_share = shares

    def shelf(y: float, share: float) -> Rect:
        return Rect(x=room.x, y=y, width=room.width, height=share * room.height)

    dial = shelf(room.y, dial_share) if lane.dial is not None else None
    numeral = shelf(dial.bottom if dial else room.y, numeral_share if lane.numeral else 0.0)
    words = shelf(numeral.bottom, words_share if lane.words else 0.0)
    return dial, numeral, words


def draw_lane(
    canvas: skia.Canvas,
    lane: Lane,
    places: LanePlaces,
    *,
    sizes: LaneSizes,
    unit: float,
    theme: Theme,
    heavy: bool,
    faded: bool,
    answer: bool,
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
    """
    if answer:
        draw_light(canvas, places.mat, places.banner.y, theme=theme)
    draw_banner(canvas, lane.side, places.banner, unit=unit, theme=theme, heavy=heavy, faded=faded)
    if lane.move:
        draw_mat(canvas, lane.side, places.mat, unit=unit, theme=theme, heavy=heavy, faded=faded, lit=answer)
    ink = blend(theme.ink, theme.lane(lane.side).tint, STEP_BACK) if faded else theme.ink
    if lane.dial is not None and places.dial is not None:
        radius = min(places.dial.width, places.dial.height) / 2
        centre = (places.dial.centre_x, places.dial.centre_y)
        draw_dial(canvas, lane.dial, centre=centre, radius=radius, theme=theme)
    _draw_in(canvas, sizes.numeral(lane, places), places.numeral, ink)
    _draw_in(canvas, sizes.words(lane, places), places.words, ink)


def _draw_in(canvas: skia.Canvas, block: Block, room: Rect, colour: int) -> None:
    """Draw fitted text in the middle of its room."""
    draw_block(
        canvas,
        block,
        x=room.centre_x,
        top=room.y + (room.height - block.height) / 2,
        colour=colour,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LaneSizes:
    """The largest letters that fit in every lane: no choice is written larger than another."""

    numeral_size: float
    words_size: float

    def numeral(self, lane: Lane, places: LanePlaces) -> Block:
        """Return the reading, fitted."""
        return _fitted(lane.numeral, places.numeral, self.numeral_size, lines=1)

    def words(self, lane: Lane, places: LanePlaces) -> Block:
        """Return the reading in words, fitted."""
        return _fitted(lane.words, places.words, self.words_size, lines=3)


def lane_sizes(lanes: list[tuple[Lane, LanePlaces]], unit: float) -> LaneSizes:
    """Return the letter sizes that all lanes share."""
    free = LaneSizes(numeral_size=0.22 * unit, words_size=WORDS_SIZE * unit)
    return LaneSizes(
        numeral_size=min(free.numeral(*one).size for one in lanes),
        words_size=min(free.words(*one).size for one in lanes),
    )


def _fitted(text: str, room: Rect, largest: float, *, lines: int) -> Block:
    return fit(text, width=room.width, height=room.height, largest=largest, lines=lines, bold=True)

"""A lane: one choice, with its reading, its words, its move and the room its figure stands in.

Lanes are told apart by place, then by the pattern of the edge, then by tint. The answer is marked
by a tick and a heavy edge while the others step back; the lane being talked about by its edge.
"""

from __future__ import annotations

from dataclasses import dataclass

from caller.runsheet.model import Lane
from caller.screen.dial import draw_dial
from caller.screen.marks import draw_tick
from caller.screen.rect import Rect
from caller.screen.skia_door import skia
from caller.screen.text import Block, draw_block, fit
from caller.screen.theme import EDGES, Theme, blend

STEP_BACK = 0.5  # how far a lane that is not the answer fades towards its tint
_WIDE = 1.25  # a lane wider than this times its height has its figure beside the words


@dataclass(frozen=True, slots=True, kw_only=True)
class LanePlaces:
    """Where the parts of a lane go."""

    dial: Rect | None
    numeral: Rect
    words: Rect
    name: Rect
    figure: Rect


def lane_places(lane: Lane, room: Rect, unit: float) -> LanePlaces:
    """Divide a lane."""
    inside = room.inset(0.032 * unit, 0.034 * unit)
    if room.width > _WIDE * room.height:
        left = Rect(x=inside.x, y=inside.y, width=0.58 * inside.width, height=inside.height)
        figure_room = Rect(x=left.right, y=inside.y, width=inside.right - left.right, height=inside.height)
        dial, numeral, words, name = _shelves(lane, left, (0.55, 0.42, 0.3))
        return LanePlaces(dial=dial, numeral=numeral, words=words, name=name, figure=figure_room)
    dial, numeral, words, name = _shelves(lane, inside, (0.54, 0.2, 0.165))
    top = (dial or words).bottom
    figure = Rect(x=inside.x, y=top, width=inside.width, height=name.y - top - 0.01 * unit)
    return LanePlaces(dial=dial, numeral=numeral, words=words, name=name, figure=figure)


def _shelves(
    lane: Lane, room: Rect, shares: tuple[float, float, float]
) -> tuple[Rect | None, Rect, Rect, Rect]:
    """Stack the dial or the numeral and words from the top, and the move's name at the foot."""
    dial_share, numeral_share, words_share = shares

    def shelf(y: float, share: float) -> Rect:
        return Rect(x=room.x, y=y, width=room.width, height=share * room.height)

    name_share = 0.085 if room.height > room.width else 0.22
    name = shelf(room.bottom - name_share * room.height, name_share)
    dial = shelf(room.y, dial_share) if lane.dial is not None else None
    numeral = shelf(dial.bottom if dial else room.y, numeral_share if lane.numeral else 0.0)
    words = shelf(numeral.bottom, words_share if lane.words else 0.0)
    return dial, numeral, words, name


def draw_panel(
    canvas: skia.Canvas, lane: Lane, room: Rect, *, unit: float, theme: Theme, heavy: bool, faded: bool
) -> None:
    """Draw a lane's ground and its patterned edge."""
    colours, edge = theme.lane(lane.side), EDGES[lane.side]
    box = skia.Rect.MakeXYWH(room.x, room.y, room.width, room.height)
    round_by = 0.028 * unit
    canvas.drawRoundRect(box, round_by, round_by, skia.Paint(AntiAlias=True, Color=colours.tint))
    width = (0.016 if heavy else 0.008) * unit
    paint = skia.Paint(
        AntiAlias=True,
        Color=blend(colours.edge, colours.tint, STEP_BACK) if faded else colours.edge,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=width,
    )
    if edge == "dashes":
        paint.setPathEffect(skia.DashPathEffect.Make([0.035 * unit, 0.02 * unit], 0.0))
    elif edge == "dots":
        paint.setStrokeCap(skia.Paint.kRound_Cap)
        paint.setPathEffect(skia.DashPathEffect.Make([0.01, 2.2 * width], 0.0))
    # The edge lies inside the lane, so that a heavy one takes no room from its neighbours.
    half = width / 2
    inside = skia.Rect.MakeXYWH(room.x + half, room.y + half, room.width - width, room.height - width)
    canvas.drawRoundRect(inside, round_by - half, round_by - half, paint)


def draw_lane(
    canvas: skia.Canvas,
    lane: Lane,
    room: Rect,
    places: LanePlaces,
    *,
    sizes: LaneSizes,
    unit: float,
    theme: Theme,
    heavy: bool,
    faded: bool,
    tick: tuple[float, float] | None,
) -> None:
    """Draw all of a lane that does not move.

    Parameters
    ----------
    heavy
        The lane is the answer, or is being talked about.
    faded
        Another lane is the answer.
    tick
        Where the tick goes, if this lane is the answer.
    """
    draw_panel(canvas, lane, room, unit=unit, theme=theme, heavy=heavy, faded=faded)
    ink = blend(theme.ink, theme.lane(lane.side).tint, STEP_BACK) if faded else theme.ink
    if lane.dial is not None and places.dial is not None:
        radius = min(places.dial.width, places.dial.height) / 2
        centre = (places.dial.centre_x, places.dial.centre_y)
        draw_dial(canvas, lane.dial, centre=centre, radius=radius, theme=theme)
    _draw_in(canvas, sizes.numeral(lane, places), places.numeral, ink)
    _draw_in(canvas, sizes.words(lane, places), places.words, ink)
    _draw_in(canvas, sizes.name(lane, places), places.name, ink)
    if tick is not None:
        draw_tick(canvas, *tick, radius=0.05 * unit, theme=theme)


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
    name_size: float

    def numeral(self, lane: Lane, places: LanePlaces) -> Block:
        """Return the reading, fitted."""
        return _fitted(lane.numeral, places.numeral, self.numeral_size, lines=1, bold=True)

    def words(self, lane: Lane, places: LanePlaces) -> Block:
        """Return the reading in words, fitted."""
        return _fitted(lane.words, places.words, self.words_size, lines=3, bold=False)

    def name(self, lane: Lane, places: LanePlaces) -> Block:
        """Return the name of the move, fitted."""
        return _fitted(lane.move_name, places.name, self.name_size, lines=2, bold=True)


def lane_sizes(lanes: list[tuple[Lane, LanePlaces]], unit: float) -> LaneSizes:
    """Return the letter sizes that all lanes share."""
    free = LaneSizes(numeral_size=0.22 * unit, words_size=0.054 * unit, name_size=0.05 * unit)
    return LaneSizes(
        numeral_size=min(free.numeral(*one).size for one in lanes),
        words_size=min(free.words(*one).size for one in lanes),
        name_size=min(free.name(*one).size for one in lanes),
    )


def _fitted(text: str, room: Rect, largest: float, *, lines: int, bold: bool) -> Block:
    return fit(text, width=room.width, height=room.height, largest=largest, lines=lines, bold=bold)

"""Where everything goes on a picture of any size: pure geometry, no drawing.

Wide pictures stand in three columns (lane, dial, lane); tall ones, and boards with three lanes,
stand the dial above a row of lanes. Lengths scale with `unit`, so that a tall or narrow picture
does not get letters it has no room for.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache

from caller.deciding import Side
from caller.runsheet import Board
from caller.screen import Rect
from caller.screen.cues import REACH_X, REACH_Y
from caller.screen.text import width_of

_WIDE = 1.15  # a body wider than this times its height stands in columns
ASKED_SIZE = 0.08  # of the letters under a dial, in units
_FOOT = 0.042  # from the beads down, in units
LINE_HEIGHT = 0.31  # in units: a number line with its jumps and their words
_MIDDLE_SHARE, _MIDDLE_SHARE_OF_TWO = 0.485, 0.54  # of the width, for what is between two lanes


@dataclass(frozen=True, slots=True, kw_only=True)
class DialPlace:
    """A dial's place, and where its label goes (no height where it has none)."""

    centre: tuple[float, float]
    radius: float
    label: Rect


@dataclass(frozen=True, slots=True, kw_only=True)
class Middle:
    """What stands between the lanes, or beside a figure."""

    dials: tuple[DialPlace, ...] = ()
    arrow: Rect | None = None  # between two dials
    asked: Rect | None = None
    sky: Rect | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """The place of every part; None or empty for what a board does not have."""

    unit: float
    margin: float
    title: Rect
    progress: Rect
    caption: Rect
    beads: Rect
    middle: Middle = Middle()
    lanes: dict[Side, Rect] = field(default_factory=dict)
    stacked: bool = False  # lanes in a row under the dial
    words: Rect | None = None  # a large title, or the points
    figure: Rect | None = None
    count: Rect | None = None  # a large number beside the figure
    name: Rect | None = None  # of the figure's move, beside it; under it where there is none

    @property
    def foot(self) -> Rect:
        """The whole foot of the picture, from edge to edge: caption and beads, and no figure's feet."""
        top = self.caption.y - 0.4 * self.margin
        return Rect(x=0.0, y=top, width=self.beads.width, height=self.beads.y + _FOOT * self.unit - top)

    def names(self) -> tuple[tuple[Rect, Rect], Rect] | None:
        """Return the places under two lanes for the names of their moves, and what is between them."""
        if len(self.lanes) != 2:
            return None
        foot = self.caption.inset(0.0, 0.001 * self.unit)
        wide = 0.33 * foot.width
        left = replace(foot, width=wide)
        right = replace(foot, x=foot.right - wide, width=wide)
        return (left, right), Rect(x=left.right, y=foot.y, width=right.x - left.right, height=foot.height)


def unit_of(width: float, height: float) -> float:
    """Return the length that letters and margins are measured in."""
    return min(height, 0.75 * width)


@lru_cache(maxsize=8)
def places(board: Board, width: float, height: float) -> Places:
    """Return where the parts of a board stand on a picture of `width` by `height` pixels."""
    unit = unit_of(width, height)
    margin = 0.026 * unit
    beads = Rect(x=0.0, y=height - _FOOT * unit, width=width, height=0.036 * unit)
    caption = Rect(x=margin, y=beads.y - 0.165 * unit, width=width - 2 * margin, height=0.163 * unit)
    page = _Page(
        board=board,
        unit=unit,
        margin=margin,
        whole=Rect(x=margin, y=margin, width=width - 2 * margin, height=caption.y - 1.8 * margin),
        caption=caption,
        beads=beads,
    )
    match board.layout:
        case "clock" | "dials":
            return page.choice()
        case "title" | "points":
            return page.words()
        case "figure":
            return page.figure()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Page:
    """What the layouts share: the room above the caption, and the head line."""

    board: Board
    unit: float
    margin: float
    whole: Rect
    caption: Rect
    beads: Rect

    @property
    def head_height(self) -> float:
        """The head line's height: letters that the last row can read, or room for a notice alone."""
        return (0.08 if self.board.progress and not self.board.lanes else 0.042) * self.unit

    @property
    def _dial_between(self) -> bool:
        """Whether a dial stands between or over the lanes, and not only in them."""
        return self.board.layout == "clock" or bool(self.board.dials)

    @property
    def below_head(self) -> Rect:
        """The room under the head line."""
        down = self.head_height + 0.3 * self.margin
        return Rect(
            x=self.whole.x,
            y=self.whole.y + down,
            width=self.whole.width,
            height=self.whole.height - down,
        )

    def places(
        self,
        *,
        title_share: float = 0.5,
        progress_share: float = 0.5,
        middle: Middle = Middle(),
        lanes: dict[Side, Rect] | None = None,
        stacked: bool = False,
        words: Rect | None = None,
        figure: Rect | None = None,
        count: Rect | None = None,
        name: Rect | None = None,
    ) -> Places:
        """Put the parts together with what every page has."""
        whole = self.whole
        title_width, progress_width = title_share * whole.width, progress_share * whole.width
        return Places(
            unit=self.unit,
            margin=self.margin,
            title=Rect(x=whole.x, y=whole.y, width=title_width, height=self.head_height),
            progress=Rect(
                x=whole.right - progress_width,
                y=whole.y,
                width=progress_width,
                height=self.head_height,
            ),
            caption=self.caption,
            beads=self.beads,
            middle=middle,
            lanes=lanes or {},
            stacked=stacked,
            words=words,
            figure=figure,
            count=count,
            name=name,
        )

    def choice(self) -> Places:
        """Lanes, with the dial or the asked time between or above them."""
        body, sides = self.below_head, [lane.side for lane in self.board.lanes]
        wide = body.width > _WIDE * body.height
        if wide and "middle" not in sides and (self._dial_between or not sides):
            return self._columns()
        share = 0.2 if wide else 0.26
        if self._dial_between:
            share = 0.6037 if wide else 0.54
        over = Rect(x=body.x, y=body.y, width=body.width, height=share * body.height)
        if wide and self.board.layout == "clock" and self.board.day_time is None:
            # The head line keeps to the corners, which a dial in the middle leaves free.
            over = Rect(x=body.x, y=self.whole.y, width=body.width, height=over.bottom - self.whole.y)
        row_y = over.bottom + self.margin
        count = max(1, len(sides))
        each = (body.width - (count - 1) * self.margin) / count
        lanes = {
            side: Rect(x=body.x + n * (each + self.margin), y=row_y, width=each, height=body.bottom - row_y)
            for n, side in enumerate(sides)
        }
        return self.places(
            title_share=0.3 if wide else 0.6,
            progress_share=0.3 if wide else 0.4,
            lanes=lanes,
            stacked=True,
            middle=self._middle_in(over),
        )

    def _columns(self) -> Places:
        body, whole = self.below_head, self.whole
        share = 0.8  # what is asked, alone
        if self._dial_between:
            share = _MIDDLE_SHARE if len(self.board.dials) < 2 else _MIDDLE_SHARE_OF_TWO
        middle_width = share * whole.width
        if self._dial_between and not self.board.asked and len(self.board.dials) == 1:
            # What the dial cannot use for want of height, the lanes get.
            middle_width = min(middle_width, whole.height / REACH_Y * REACH_X)
        lane_width = (whole.width - middle_width) / 2
        # The dial is round: its column may use the head line that the corners hold.
        column = whole if self._dial_between else body
        middle = Rect(x=whole.x + lane_width, y=column.y, width=middle_width, height=column.height)
        lanes: dict[Side, Rect] = {}
        for lane in self.board.lanes:
            x = whole.x if lane.side == "left" else middle.right
            lanes[lane.side] = Rect(x=x, y=body.y, width=lane_width, height=body.height)
        share = lane_width / whole.width
        return self.places(
            title_share=share,
            progress_share=share,
            lanes=lanes,
            middle=self._middle_in(middle),
        )

    def _middle_in(self, room: Rect) -> Middle:
        """Divide a room from the top: the sky, the dials, and what is asked."""
        board = self.board
        sky = asked = None
        if board.day_time is not None:
            strip = Rect(x=room.x, y=room.y, width=room.width, height=0.105 * self.unit)
            sky = strip.inset(max(0.0, (room.width - 4.2 * strip.height) / 2), 0.0)
            room = Rect(x=room.x, y=strip.bottom, width=room.width, height=room.height - strip.height)
        if not board.dials:
            return Middle(asked=room.inset(self.margin, 0.0), sky=sky)
        if board.asked or board.asked_words or board.jumps:
            two = board.asked_words or width_of(board.asked, 0.07 * self.unit, True) > 0.9 * room.width
            tall = (0.2 if two else 0.12) * self.unit
            if board.jumps:
                tall = LINE_HEIGHT * self.unit
            asked = Rect(x=room.x, y=room.bottom - tall, width=room.width, height=tall)
            asked = asked.inset(self.margin, 0.2 * self.margin)
            room = Rect(x=room.x, y=room.y, width=room.width, height=room.height - tall)
        return replace(self._dials(room), asked=asked, sky=sky)

    def _dials(self, room: Rect) -> Middle:
        """Stand the dials in a room: one in the middle, two side by side or one over the other."""
        shown = self.board.dials
        label = 0.06 * self.unit if any(dial.label for dial in shown) else 0.0
        if len(shown) == 1:
            return Middle(dials=(_dial_in(room, label),))
        gap = 0.07 * self.unit
        beside = Rect(x=room.x, y=room.y, width=(room.width - gap) / 2, height=room.height)
        over = Rect(x=room.x, y=room.y, width=room.width, height=(room.height - gap) / 2)
        if _dial_in(beside, label).radius >= _dial_in(over, label).radius:
            first, step_x, step_y = beside, beside.width + gap, 0.0
            arrow = Rect(x=beside.right, y=room.centre_y - gap / 2, width=gap, height=gap)
        else:
            first, step_x, step_y = over, 0.0, over.height + gap
            arrow = Rect(x=room.centre_x - gap / 2, y=over.bottom, width=gap, height=gap)
        second = Rect(x=first.x + step_x, y=first.y + step_y, width=first.width, height=first.height)
        return Middle(dials=(_dial_in(first, label), _dial_in(second, label)), arrow=arrow)

    def words(self) -> Places:
        """A title or a list, with a figure (or a dial) beside or under it."""
        board, body = self.board, self.below_head
        if board.move is None and board.arms is None and not board.dials:
            return self.places(words=body.inset(2 * self.margin, self.margin))
        if body.width > _WIDE * body.height:
            words = Rect(x=body.x, y=body.y, width=0.6 * body.width, height=body.height)
            beside = Rect(x=words.right, y=body.y, width=body.right - words.right, height=body.height)
        else:
            words = Rect(x=body.x, y=body.y, width=body.width, height=0.5 * body.height)
            beside = Rect(x=body.x, y=words.bottom, width=body.width, height=body.bottom - words.bottom)
        words = words.inset(self.margin)
        if board.move is None and board.arms is None:
            return self.places(words=words, middle=self._dials(beside))
        return self.places(words=words, figure=beside.inset(self.margin, 0.0))

    def figure(self) -> Places:
        """One large figure, with a dial or what is asked beside it, and room for a count."""
        board, body = self.board, self.below_head
        wide = body.width > _WIDE * body.height
        if not (board.dials or board.asked or board.asked_words):
            side = 0.3 * body.width
            if wide:
                count = Rect(x=body.right - side, y=body.y, width=side, height=body.height)
                name = replace(count, x=body.x)
                return self.places(figure=body.inset(side, 0.0), count=count, name=name)
            over = 0.25 * body.height
            count = Rect(x=body.x, y=body.y, width=body.width, height=over)
            figure = Rect(x=body.x, y=count.bottom, width=body.width, height=body.height - over)
            return self.places(figure=figure, count=count)
        if wide:
            first = Rect(x=body.x, y=body.y, width=0.5 * body.width, height=body.height)
            second = Rect(x=first.right, y=body.y, width=body.right - first.right, height=body.height)
        else:
            first = Rect(x=body.x, y=body.y, width=body.width, height=0.5 * body.height)
            second = Rect(x=body.x, y=first.bottom, width=body.width, height=body.bottom - first.bottom)
        return self.places(middle=self._middle_in(first), figure=second)


def _dial_in(room: Rect, label: float) -> DialPlace:
    """Stand one dial in a room, as large as fits with its counted numbers and its label."""
    radius = min((room.height - label) / (2 * REACH_Y), room.width / (2 * REACH_X))
    tall = 2 * REACH_Y * radius
    top = room.y + (room.height - label - tall) / 2
    return DialPlace(
        centre=(room.centre_x, top + tall / 2),
        radius=radius,
        label=Rect(x=room.x, y=top + tall, width=room.width, height=label),
    )

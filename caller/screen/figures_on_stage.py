"""Figures in their places: as large as every moment of their loop allows, and all of one size."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from math import ceil, floor
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from caller.clock import ClockTime, hands
from caller.deciding import Side
from caller.moves import WALKING_BPM, poses
from caller.moves.poses import Joint, Pose, View, phase_on_beat
from caller.runsheet import FiguresDo
from caller.screen import Rect
from caller.screen.figure import LOOKS, FigureColours, Ink, Look, draw_figure, inks, seat_reach
from caller.screen.skia_door import skia
from caller.screen.theme import Theme

STEPS = 480  # all the poses there are: a landing is shown on its beat, not beside it
_PICTURES_A_SECOND = 30  # of a figure that moves, as the window and the videos have them
_RECORDED = 8  # pictures: those of a scene and of the one before it
_MEASURED = 1024  # pictures: the loops of the figures of some boards
_LONG_AGO = 900  # figures: those of a quarter of a minute
_LONGEST_RUN = 1 << 15  # pixels, so that two bytes hold it
_MOMENTS = 24  # of a loop, to find how far it reaches
# How far a figure reaches beyond each of its joints, and beyond the middle of a line, in standing heights.
_FLESH = np.full(len(Joint), 0.05)
_FLESH[[Joint.HEAD, Joint.FACE]] = 0.15
_FLESH[[Joint.HIP_L, Joint.HIP_R, Joint.PELVIS]] = 0.09
_LINE = 0.03
_ON_FOOT = tuple(look for look in LOOKS if not look.wheelchair)


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """How far a figure reaches from the point on the floor under it, in standing heights."""

    left: float
    right: float
    up: float
    down: float

    def height_in(self, room: Rect) -> float:
        """Return the standing height, in pixels, at which the figure stays inside the room."""
        return min(room.height / (self.up + self.down), room.width / (self.left + self.right))


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureDoing:
    """What one figure does: the loop of a move or a stance (by its name), or a time made with the arms."""

    what: str | ClockTime

    @property
    def view(self) -> View:
        """From where the figure is seen."""
        return poses.DIAL_VIEW if isinstance(self.what, ClockTime) else poses.animation(self.what).view

    @property
    def seated(self) -> bool:
        """Whether it is done on a seat."""
        return not isinstance(self.what, ClockTime) and poses.animation(self.what).seated

    def step_at(self, move_s: float, bpm: float = WALKING_BPM) -> int:
        """Return the moment of the loop, of `STEPS`, to show after so many seconds of moving to a beat.

        A beat has a whole number of pictures, about thirty a second, one of them on the beat itself. Each
        time round they are the same few, so that none is drawn twice.
        """
        if isinstance(self.what, ClockTime) or len(poses.animation(self.what).keys) == 1:
            return 0
        if self.what in poses.STANCES:
            a_loop = max(round(_PICTURES_A_SECOND / poses.loops_a_second(self.what)), 1)
            phase = round(poses.phase_at(self.what, move_s) * a_loop) / a_loop
        else:
            a_beat = max(round(_PICTURES_A_SECOND * 60.0 / bpm), 1)
            phase = phase_on_beat(self.what, round(move_s * bpm / 60.0 * a_beat) / a_beat)
        return round(phase * STEPS) % STEPS

    def instead(self, asked: FiguresDo) -> FigureDoing:
        """Return what the figure does where the class is asked for this instead of its move.

        Arms that make a time are held: they are what is shown.
        """
        if isinstance(self.what, ClockTime) or asked in ("move", "show"):
            return self
        if asked == "still" and self.what in poses.STANCES:
            return self
        seated = self.seated
        match asked:
            case "shake" if not seated:
                return FigureDoing(what="shaking-out")
            case "clap":
                return FigureDoing(what="sitting-clapping" if seated else "clapping")
            case "breathe":
                return FigureDoing(what="sitting-breathing" if seated else "slow-breathing")
            case "rest" if not seated:
                return FigureDoing(what="arms-hanging")
        return FigureDoing(what="sitting-ready" if seated else "standing-ready")

    def pose(self, step: int) -> Pose:
        """Return the pose at one of the loop's moments."""
        if isinstance(self.what, ClockTime):
            at = hands(self.what)
            return poses.clock_arms(at.hour_deg, at.minute_deg)
        return poses.pose(self.what, step / STEPS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Performer:
    """A figure of a standing `height` at the foot of its room, at one of its loop's moments."""

    doing: FigureDoing
    room: Rect
    height: float
    look: Look
    step: int = 0
    opacity: float = 1.0
    side: Side | None = None  # the lane it stands in
    usually: FigureDoing | None = None  # what it has its place for, where it does something else meanwhile

    @property
    def origin(self) -> tuple[float, float]:
        """Where the point on the floor under the figure is: all it does lies in the middle of its room."""
        reaches = extent(self.usually or self.doing)
        aside = (reaches.left - reaches.right) / 2
        x = self.room.centre_x + aside * self.height
        return x, self.room.bottom - reaches.down * self.height


@cache
def extent(doing: FigureDoing) -> Extent:
    """Return how far a figure reaches over its whole loop."""
    left = right = up = down = 0.0
    for moment in range(_MOMENTS):
        pose = doing.pose(moment * STEPS // _MOMENTS)
        if pose.seat is not None:
            # Whoever sits there: who uses a wheelchair is as large as the others.
            behind, before = seat_reach(doing.view, pose.seat)
            left, right = max(left, behind), max(right, before)
        shapes = [(pose.points, _FLESH)]
        shapes += [(hint, np.full(len(hint), _LINE)) for hint in pose.hints]
        for points, flesh in shapes:
            seen = doing.view.project(points)
            left = max(left, float((flesh - seen[..., 0]).max()))
            right = max(right, float((flesh + seen[..., 0]).max()))
            up = max(up, float((seen[..., 1] + flesh).max()))
            down = max(down, float((flesh - seen[..., 1]).max()))
    # Whatever it does, there is room for it to stand, or to sit, ready.
    ready = FigureDoing(what="sitting-ready")
    least = 1.0 if not doing.seated else 0.0 if doing == ready else extent(ready).up
    return Extent(left=left, right=right, up=max(least, up), down=down)


def common_height(figures: Sequence[tuple[FigureDoing, Rect]]) -> float:
    """Return the one standing height at which all the figures stay inside their rooms."""
    return min(extent(doing).height_in(room) for doing, room in figures)


def alone(doing: FigureDoing, room: Rect, *, look: Look, step: int = 0) -> Performer:
    """Return a figure that has a room to itself, as large as the room allows."""
    return Performer(doing=doing, room=room, height=extent(doing).height_in(room), look=look, step=step)


def look_for(number: int, *, seated: bool = False) -> Look:
    """Return one of the children by number; who uses a wheelchair is among those who sit."""
    looks = LOOKS if seated else _ON_FOOT
    return looks[number % len(looks)]


def cast_of(*told: object) -> int:
    """Return the number of a picture's first child: a round keeps its children, and another has others."""
    return crc32("|".join(map(str, told)).encode())


def figure_colours(theme: Theme) -> FigureColours:
    """Return what a theme lends its figures: an outline that stands out from every tint."""
    if theme.name != "dark":
        return FigureColours()
    return FigureColours(
        outline=theme.ink, shade=0xFF3A424C, shadow=0xFF000000, frame=0xFFAEB6BF, cushion=0xFF59626C
    )


@lru_cache(maxsize=_RECORDED)
def _recorded(doing: FigureDoing, step: int, height: float, look: Look, theme: Theme) -> skia.Picture:
    """Record a figure standing on the origin, to be measured and then played back.

    It is recorded with a tree of its parts, so that its `cullRect` is what is drawn on.
    """
    recorder = skia.PictureRecorder()
    far = 4.0 * height
    canvas = recorder.beginRecording(skia.Rect.MakeLTRB(-far, -far, far, far), skia.RTreeFactory()())
    draw_figure(
        canvas,
        doing.pose(step),
        view=doing.view,
        centre_x=0.0,
        ground_y=0.0,
        height=height,
        look=look,
        colours=figure_colours(theme),
    )
    return recorder.finishRecordingAsPicture()


def ink(performer: Performer, theme: Theme) -> Rect:
    """Return the place that a figure is drawn on, at this moment."""
    drawn = _drawn_on(performer.doing, performer.step, performer.height, performer.look, theme)
    x, y = performer.origin
    return replace(drawn, x=x + drawn.x, y=y + drawn.y)


@lru_cache(maxsize=_MEASURED)
def _drawn_on(doing: FigureDoing, step: int, height: float, look: Look, theme: Theme) -> Rect:
    """Return what a figure standing on the origin is drawn on: it is asked for far oftener than drawn."""
    drawn = _recorded(doing, step, height, look, theme).cullRect()
    return Rect(x=drawn.left(), y=drawn.top(), width=drawn.width(), height=drawn.height())


def inks_of(performer: Performer, theme: Theme) -> Iterator[Ink]:
    """Yield what is drawn of a figure that stands on the origin in place of its `origin`."""
    return inks(
        performer.doing.pose(performer.step),
        view=performer.doing.view,
        centre_x=0.0,
        ground_y=0.0,
        height=performer.height,
        look=performer.look,
        colours=figure_colours(theme),
    )


def draw_performer(canvas: skia.Canvas, performer: Performer, theme: Theme) -> None:
    """Draw a figure."""
    picture = _recording(performer, theme)
    canvas.save()
    canvas.translate(*performer.origin)
    if performer.opacity < 1.0:
        canvas.saveLayerAlpha(picture.cullRect(), round(255 * performer.opacity))
    canvas.drawPicture(picture)
    if performer.opacity < 1.0:
        canvas.restore()
    canvas.restore()


def _recording(performer: Performer, theme: Theme) -> skia.Picture:
    return _recorded(performer.doing, performer.step, performer.height, performer.look, theme)


class KeptFigures:
    """Figures that were drawn: their loops come round, and laying one down takes a tenth of drawing it.

    Parameters
    ----------
    most_bytes
        How much memory they may take together. What was not laid down for long makes room for others; where
        loops are longer than there is room for, the rest of them is drawn each time, and looks the same.

    Any thread may have figures laid down.
    """

    def __init__(self, most_bytes: int) -> None:
        self._lock = threading.Lock()
        self._left_bytes = most_bytes
        self._laid = 0  # figures so far
        self._kept: OrderedDict[Hashable, _Kept] = OrderedDict()

    def draw(self, canvas: skia.Canvas, performer: Performer, theme: Theme) -> None:
        """Lay a figure down where `draw_performer` would draw it; the canvas draws at once, into memory."""
        found = self._found(performer, theme)
        x, y = (floor(at) for at in performer.origin)
        pixels = found.pixels()  # the image looks into them
        image = skia.Image.MakeRasterData(found.info, skia.Data(pixels.data), 4 * found.info.width())
        opacity = skia.Paint(Alphaf=performer.opacity)
        canvas.drawImage(image, x + found.left, y + found.top, skia.SamplingOptions(), opacity)

    def _found(self, performer: Performer, theme: Theme) -> _Kept:
        key = _known_by(performer, theme)
        with self._lock:
            self._laid += 1
            found = self._kept.get(key)
            if found is not None:
                found.laid = self._laid
                self._kept.move_to_end(key)
                return found
        found = _kept(performer, theme)  # it may be drawn by two at once: they need not wait for each other
        with self._lock:
            if key not in self._kept and self._make_room_for(found.size_bytes):
                found.laid = self._laid
                self._kept[key] = found
                self._left_bytes -= found.size_bytes
        return found

    def _make_room_for(self, needed_bytes: int) -> bool:
        while self._left_bytes < needed_bytes and self._kept:
            oldest = next(iter(self._kept))
            if self._kept[oldest].laid > self._laid - _LONG_AGO:
                return False
            self._left_bytes += self._kept.pop(oldest).size_bytes
        return self._left_bytes >= needed_bytes


def _known_by(performer: Performer, theme: Theme) -> Hashable:
    """Return what two figures that look the same have in common, and where between pixels they stand."""
    stands = tuple(at - floor(at) for at in performer.origin)
    return performer.doing, performer.step, performer.height, performer.look, theme, stands


@dataclass(slots=True)
class _Kept:
    """A drawn figure, pixel after pixel in runs of one colour: a sixth of what its pixels take.

    Most of a figure is nothing around it, and flat within its edges; `repeat` makes all of it again in less
    time than it takes to lay down.
    """

    info: skia.ImageInfo
    colours: NDArray[np.uint32]  # shape (runs,)
    lengths: NDArray[np.uint16]  # the same, in pixels
    left: int  # from the point on the floor
    top: int
    laid: int = 0  # so many figures had been laid down then

    @property
    def size_bytes(self) -> int:
        return self.colours.nbytes + self.lengths.nbytes

    def pixels(self) -> NDArray[np.uint32]:
        """Return all pixels, row after row."""
        return self.colours.repeat(self.lengths)


def _kept(performer: Performer, theme: Theme) -> _Kept:
    """Draw a figure, to be kept."""
    place = ink(performer, theme)
    left, top = floor(place.x) - 1, floor(place.y) - 1
    width, height = ceil(place.right) + 1 - left, ceil(place.bottom) + 1 - top
    info = skia.ImageInfo.Make(
        width, height, skia.ColorType.kBGRA_8888_ColorType, skia.AlphaType.kPremul_AlphaType
    )
    pixels = np.zeros(width * height, np.uint32)
    canvas = skia.Surface.MakeRasterDirect(info, pixels, 4 * width).getCanvas()
    canvas.translate(-left, -top)
    draw_performer(canvas, replace(performer, opacity=1.0), theme)
    begins = np.ones(pixels.size + 1, np.bool_)  # and one more where the last run ends
    np.not_equal(pixels[1:], pixels[:-1], out=begins[1:-1])
    begins[::_LONGEST_RUN] = True
    at = np.flatnonzero(begins)
    x, y = (floor(at_px) for at_px in performer.origin)
    return _Kept(info, pixels[at[:-1]], np.diff(at).astype(np.uint16), left - x, top - y)

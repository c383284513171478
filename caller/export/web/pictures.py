"""Every picture of a lesson with the time from which it stands, exported from the picture function."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass, field, replace
from functools import partial

from caller.export.web.canvas import Pieces, Pool
from caller.screen.figures_on_stage import inks_of
from caller.screen.scene import Scene
from caller.screen.stage import MovingPart, as_shown, moving_parts, standing_parts
from caller.screen.theme import Theme
from caller.sound import SAMPLE_RATE
from caller.timeline import CallLayout, seconds_of
from caller.timeline.picture import scene_at

PagePicture = tuple[int, ...]
"""The numbers of a picture's groups, from back to front."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """How finely movement is followed.

    Attributes
    ----------
    rate_hz
        Pictures a second while something moves; what begins or ends is always on time.
    rises
        Whether the cloth of a signal comes up and sinks before the eyes, or is there and gone.
    pose_rate_hz
        How often a figure takes a new pose.
    pose_step_s
        How far its loop has then gone on.
    """

    rate_hz: int
    rises: bool
    pose_rate_hz: float
    pose_step_s: float

    def moving_s(self, move_s: float) -> float:
        """Return the moment of its loop that a figure shows."""
        return self.pose_step_s * math.floor(move_s * self.pose_rate_hz + 1e-6)


# Twelve a second divides most loops evenly, so that their poses come round again and are kept once.
FULL = Motion(rate_hz=12, rises=True, pose_rate_hz=12.0, pose_step_s=1 / 12)
# For who is made unwell by movement: each figure holds a pose for a second, then steps on a little.
CALM = Motion(rate_hz=2, rises=False, pose_rate_hz=1.0, pose_step_s=0.25)


@dataclass(slots=True)
class Track:
    """Pictures in order: from `starts_ms[n]` on, the picture `pictures[n]` stands."""

    starts_ms: list[int] = field(default_factory=list)
    pictures: list[int] = field(default_factory=list)

    def add(self, start_ms: int, picture: int) -> None:
        """Add a picture, unless it stands already; of two in one millisecond the later one stands."""
        if self.starts_ms and self.starts_ms[-1] == start_ms:
            del self.starts_ms[-1], self.pictures[-1]
        if not self.pictures or self.pictures[-1] != picture:
            self.starts_ms.append(start_ms)
            self.pictures.append(picture)


class PictureBook:
    """All pictures of a lesson, drawn with and without captions, moving and calm.

    Each part of a picture is drawn once for all the pictures in which it looks alike.
    """

    def __init__(self, *, width: int, height: int, theme: Theme) -> None:
        self.pieces = Pieces(width, height)
        self.pictures: Pool[PagePicture] = Pool()
        self.tracks = {name: Track() for name in ("full", "full-plain", "calm", "calm-plain")}
        self._theme = theme
        self._drawn: dict[Hashable, PagePicture] = {}

    def add(self, layout: CallLayout, start: int) -> None:
        """Add a call that starts at the sample `start` of the lesson."""
        for name, motion in (("full", FULL), ("calm", CALM)):
            for sample in moments(layout, start, motion.rate_hz):
                scene = scene_at(layout, sample)
                raised = scene.raised
                if raised is not None and not motion.rises:
                    raised = replace(raised, up=1.0)
                scene = replace(scene, move_s=motion.moving_s(scene.move_s), raised=raised)
                start_ms = round(1000 * seconds_of(start + sample))
                self.tracks[name].add(start_ms, self._number(scene))
                self.tracks[f"{name}-plain"].add(start_ms, self._number(replace(scene, caption="")))

    def _number(self, scene: Scene) -> int:
        return self.pictures.number_of(self.picture(scene))

    def picture(self, scene: Scene) -> PagePicture:
        """Return a scene's picture."""
        theme, size = self._theme, (self.pieces.width, self.pieces.height)
        scene = as_shown(scene, theme)
        board, point_to = scene.board, scene.point_to
        groups = list(
            self._groups(
                ("standing", board, point_to),
                lambda: self.pieces.drawn(
                    lambda canvas: canvas.drawPicture(standing_parts(board, point_to, *size, theme))
                ),
            )
        )
        for part in moving_parts(scene, width=size[0], height=size[1], theme=theme):
            groups += self._groups(part.of, partial(self._part, part))
        return tuple(groups)

    def _part(self, part: MovingPart) -> PagePicture:
        if part.performer is None:
            return self.pieces.drawn(part.draw)
        figure = part.performer
        return self.pieces.figure(inks_of(figure, self._theme), figure.origin, figure.opacity)

    def _groups(self, of: Hashable, make: Callable[[], PagePicture]) -> PagePicture:
        if of not in self._drawn:
            self._drawn[of] = make()
        return self._drawn[of]


def moments(layout: CallLayout, start: int, rate_hz: int) -> list[int]:
    """Return the samples of a call at which a new picture may stand, from 0.

    They lie on the lesson's own beat of `rate_hz`, so that loops meet the same moments again, and
    wherever a line, its speech, or a second of think time begins or ends.
    """
    step = SAMPLE_RATE // rate_hz
    beat = range(-start % step, layout.length, step)
    return sorted(sample for sample in {0, *beat, *_events(layout)} if sample < layout.length)


def _events(layout: CallLayout) -> Iterator[int]:
    for span in layout.spans:
        yield from (span.start, span.speech_start, span.speech_end, span.end)
    yield from range(layout.countdown_start, layout.countdown_end + 1, SAMPLE_RATE)
    yield layout.countdown_end

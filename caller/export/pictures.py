"""Which pictures of a lesson come again, so that they are drawn and encoded once.

A picture is known by its scene. Most of a lesson's pictures differ from their neighbours only in how far the
figures have moved, and figures move in loops: after some number of frames they stand as before, or so nearly
that nobody sees it. So a stretch in which nothing else changes is a short run of pictures, repeated. Encoded
from its own key frame and without later frames, such a run can be repeated as it is, packet by packet, and
cut anywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import count, groupby, pairwise

from caller.moves.catalogue import catalogue
from caller.moves.poses.tables import TEMPO_HZ
from caller.runsheet.movement import moves_on
from caller.screen.scene import Scene

LOOP_S = 3  # shorter loops are repeated to at least this long: a key frame costs about a second of others
SAVED_S = 1  # a loop must save at least this much
RUN_S = 10  # runs that do not repeat are parted after this long: an export cut short loses no more
_NEVER = 10**9
NEAR = 1 / 200  # of a figure's loop: by so much a figure may stand off where it began


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """Frames encoded on their own: `count` frames from `start`, of which the first `drawn` repeat."""

    start: int
    count: int
    drawn: int

    @property
    def stop(self) -> int:
        """The first frame after it."""
        return self.start + self.count


def units(scene_of: Callable[[int], Scene], frames: int, fps: int) -> tuple[Unit, ...]:
    """Divide `frames` frames into units; `scene_of(k)` is what frame k shows."""
    found: list[Unit] = []
    plain_from = 0
    for first, stop, still in _shots(scene_of, frames):
        start = 2 if first == 1 else first  # no unit comes before a lone first frame that could take it in
        period = loop_frames(still, fps)
        drawn = period * -(-LOOP_S * fps // period)
        if stop - start < drawn + SAVED_S * fps:
            continue
        _add_plain(found, plain_from, start, fps)
        found.append(Unit(start=start, count=stop - start, drawn=drawn))
        plain_from = stop
    _add_plain(found, plain_from, frames, fps)
    return tuple(found)


@cache
def loop_frames(scene: Scene, fps: int) -> int:
    """Return after how many frames all figures stand as before; 1 where none moves.

    Breathing follows the words, which never come round.
    """
    if scene.doing == "breathe":
        return _NEVER
    loops_per_frame = [hz / fps for hz in _loops_hz(scene)]
    return next(
        frames
        for frames in count(1)
        if all(abs(frames * loops - round(frames * loops)) <= NEAR for loops in loops_per_frame if loops)
    )


def _loops_hz(scene: Scene) -> tuple[float, ...]:
    """Return how many loops a second each figure does."""
    if scene.doing == "shake":
        return (TEMPO_HZ["shaking-out"],)
    if scene.doing not in ("move", "show"):
        return ()
    return tuple(scene.bpm / 60.0 / catalogue()[move].beats for move in moves_on(scene.board))


def _shots(scene_of: Callable[[int], Scene], frames: int) -> Iterator[tuple[int, int, Scene]]:
    """Yield the stretches in which only figures move: first frame, the frame after the last, the scene."""
    stills = ((k, replace(scene_of(k), move_s=0.0)) for k in range(frames))
    for still, shot in groupby(stills, key=lambda frame: frame[1]):
        numbers = [k for k, _ in shot]
        yield numbers[0], numbers[-1] + 1, still


def _add_plain(found: list[Unit], start: int, stop: int, fps: int) -> None:
    """Add the frames from `start` to `stop` as units that do not repeat."""
    if start == stop:
        return
    if stop - start < 2 and found:
        # Two key frames next to each other would have to tell each other apart (H.264, idr_pic_id).
        last = found.pop()
        found.append(replace(last, count=last.count - 1, drawn=min(last.drawn, last.count - 1)))
        start -= 1
    parts = -(-(stop - start) // (RUN_S * fps))
    edges = [start + (stop - start) * part // parts for part in range(parts + 1)]
    for first, after in pairwise(edges):
        found.append(Unit(start=first, count=after - first, drawn=after - first))

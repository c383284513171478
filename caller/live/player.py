"""The player: segments in, a stream of samples out, and a memory of what was played when.

The audio callback asks for samples and counts them; that count is the lesson's clock. Everything
else acts between blocks.
"""

from __future__ import annotations

import threading
from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from caller.sound.levels import SAMPLE_RATE
from caller.timeline.segment import Segment

_FADE = SAMPLE_RATE * 5 // 1000  # 5 ms: no click when a call is cut short
_MARKS_KEPT = 256


@dataclass(frozen=True, slots=True)
class Cued:
    """A segment to be played, with the index of its call in the lesson."""

    index: int
    segment: Segment


@dataclass(frozen=True, slots=True)
class Mark:
    """From stream sample `stream` on, `cued` plays from its sample `offset`; None is silence."""

    stream: int
    cued: Cued | None
    offset: int


class Player:
    """Feeds one stream. `fill` belongs to the audio thread, all else to any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._queue: deque[Cued] = deque()
        self._playing: Cued | None = None
        self._position = 0
        self._written = 0
        self._marks: deque[Mark] = deque([Mark(0, None, 0)], maxlen=_MARKS_KEPT)
        self._tail: NDArray[np.float32] = np.zeros(0, dtype=np.float32)
        self._gain = 1.0
        self._gain_wanted = 1.0

    @property
    def written(self) -> int:
        """How many samples the stream has taken so far."""
        return self._written

    def enqueue(self, cued: Cued) -> None:
        """Play `cued` after everything queued so far, without a gap; at once if nothing plays."""
        with self._lock:
            if self._playing is None:
                self._cut_to(cued)
            else:
                self._queue.append(cued)

    def stop(self, *, faded: bool = True) -> None:
        """Fall silent and forget what was queued; unfaded where the stream itself was cut already."""
        with self._lock:
            self._queue.clear()
            self._cut_to(None)
            if not faded:
                self._tail = self._tail[:0]

    def replace_from(self, cued: Cued) -> int:
        """Put `cued` in the place of its call, playing or queued, and drop what is queued behind it.

        A playing segment goes on in the new one at the very sample it has reached. Returns the
        index of the last call that the player still holds, or -1.
        """
        with self._lock:
            held = list(self._queue)
            self._queue.clear()
            if self._playing is not None and self._playing.index == cued.index:
                self._playing = cued
                self._mark()
            else:
                for other in held:
                    self._queue.append(cued if other.index == cued.index else other)
                    if other.index == cued.index:
                        break
            last = self._queue[-1] if self._queue else self._playing
            return -1 if last is None else last.index

    def set_gain(self, gain: float) -> None:
        """Set the loudness as an amplitude factor; it is reached smoothly over the next block."""
        self._gain_wanted = gain

    def waiting(self) -> int:
        """Return how many segments are playing or queued."""
        with self._lock:
            return len(self._queue) + (self._playing is not None)

    def at(self, stream: int) -> Mark:
        """Return what was, is or will be playing at stream sample `stream`, with its offset there."""
        with self._lock:
            for mark in reversed(self._marks):
                if mark.stream <= stream:
                    break
        return Mark(stream, mark.cued, mark.offset + max(stream - mark.stream, 0))

    def fill(self, out: NDArray[np.float32]) -> None:
        """Write the next `len(out)` samples into `out` (float32, mono)."""
        with self._lock:
            done = 0
            while done < len(out):
                if self._playing is None:
                    out[done:] = 0.0
                    self._written += len(out) - done
                    break
                count = min(len(out) - done, self._playing.segment.length - self._position)
                out[done : done + count] = self._playing.segment.render(self._position, count)
                done += count
                self._position += count
                self._written += count
                if self._position >= self._playing.segment.length:
                    self._playing = self._queue.popleft() if self._queue else None
                    self._position = 0
                    self._mark()
            self._add_tail(out)
            gain, self._gain = self._gain, self._gain_wanted
        if gain != self._gain:
            out *= np.linspace(gain, self._gain, len(out), dtype=np.float32)
        elif gain != 1.0:
            out *= np.float32(gain)

    def _cut_to(self, cued: Cued | None) -> None:
        if self._playing is not None:
            fade = np.linspace(1.0, 0.0, _FADE, dtype=np.float32)
            self._tail = self._playing.segment.render(self._position, _FADE) * fade
        self._playing = cued
        self._position = 0
        self._mark()

    def _mark(self) -> None:
        self._marks.append(Mark(self._written, self._playing, self._position))

    def _add_tail(self, out: NDArray[np.float32]) -> None:
        """Let what was cut short die away under what follows."""
        count = min(len(self._tail), len(out))
        if count:
            out[:count] += self._tail[:count]
            self._tail = self._tail[count:]

"""The player: segments in, a stream of samples out, and a memory of what was played when.

The audio callback asks for samples and counts them; that count is the lesson's clock. Everything
else acts between blocks. Which sample is being heard now is worked out from what the callback is told:
the times that sound systems report jitter, and some are plainly wrong (see `plausible_delay_s`), so
the mapping from the machine's steady clock to samples is the median over many callbacks.
"""

from __future__ import annotations

import math
import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from caller.sound import SAMPLE_RATE, STARTING_DB, to_gain
from caller.sound.mixing import mix
from caller.timeline.segment import Segment

_FADE = SAMPLE_RATE * 5 // 1000  # 5 ms: no click when a call is cut short
_FALLING = np.linspace(1.0, 0.0, _FADE, dtype=np.float32)
_MARKS_KEPT = 256
_ALONE = np.float32(to_gain(STARTING_DB))  # some systems let a device that is left play what a lost one had
_NEAR = SAMPLE_RATE * 2 // 1000  # 2 ms: nobody hears it, and the times that devices report jitter
_FAR = SAMPLE_RATE * 40 // 1000  # a lag of 45 ms is noticed (ITU-R BT.1359-1, from memory)

_REMEMBERED_S = 3.0  # a device that really moves (it ran dry, it was changed) is followed within half of this
_MOST_REMEMBERED = 256  # small blocks come often, and the median has to be quick
_LONGEST_DELAY_S = 1.0  # a longer buffer than this is a wrong report, not a buffer


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

    def __init__(self, volume_db: float = 0.0) -> None:
        self._lock = threading.Lock()
        self._queue: deque[Cued] = deque()
        self._playing: Cued | None = None
        self._position = 0
        self._written = 0
        self._marks: deque[Mark] = deque([Mark(0, None, 0)], maxlen=_MARKS_KEPT)
        self._tail: tuple[Segment, int] | None = None  # what was cut short, and from which sample on
        self.cut_at = 0  # what was written before is thrown away, or heard already
        self._faded = _FADE  # how much of that was heard
        self.volume_db = volume_db
        self._gain = self._gain_wanted = to_gain(volume_db)
        self.beat_on = True  # whether calls are heard with their beat; may change at any time
        self.wide = False  # whether a loudspeaker that is opened for it has to play left and right

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
                self._faded = _FADE
                self.cut_at = self._written

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

    def set_volume(self, db: float) -> None:
        """Set the volume over the samples' own level; it is reached smoothly over the next block."""
        self.volume_db = db
        self._gain_wanted = to_gain(db)

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

    def words(self, stream: int, count: int) -> NDArray[np.float32]:
        """Return the voice alone of `count` samples from stream sample `stream` on, played or to come."""
        with self._lock:
            last, coming = self._marks[-1], list(self._queue)
            pieces = list(self._marks)
        if last.cued is not None:
            end = last.stream + last.cued.segment.length - last.offset
            for cued in coming:
                pieces.append(Mark(end, cued, 0))
                end += cued.segment.length
        out, stop = np.zeros(count, np.float32), stream + count
        begin = max(stream, self.cut_at)
        for piece in reversed(pieces):
            first = max(piece.stream, begin)
            if piece.cued is not None and first < stop:
                start = piece.offset + first - piece.stream
                out[first - stream : stop - stream] = mix(piece.cued.segment.words, start, stop - first)
            stop = min(stop, first)
            if piece.stream <= begin:
                break
        return out

    def fill(self, out: NDArray[np.float32]) -> None:
        """Write the next `len(out)` samples into `out`: float32, shape (n,), or (n, 2) for left and right."""
        with self._lock:
            done = 0
            while done < len(out):
                if self._playing is None:
                    out[done:] = 0.0
                    self._written += len(out) - done
                    break
                count = min(len(out) - done, self._playing.segment.length - self._position)
                part = out[done : done + count]
                part[:] = self._sound(self._playing.segment, self._position, like=part)
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
            out.T[...] *= np.linspace(gain, self._gain, len(out), dtype=np.float32)
        elif gain != 1.0:
            out *= np.float32(gain)

    def _cut_to(self, cued: Cued | None) -> None:
        if self._playing is not None:
            self._tail, self._faded = (self._playing.segment, self._position), 0
        self._playing = cued
        self._position = 0
        self._mark()

    def _mark(self) -> None:
        self._marks.append(Mark(self._written, self._playing, self._position))

    def _add_tail(self, out: NDArray[np.float32]) -> None:
        """Let what was cut short die away under what follows."""
        if self._tail is None:
            return
        segment, start = self._tail
        first, count = self._faded, min(_FADE - self._faded, len(out))
        if count:
            part = out[:count]
            sound = self._sound(segment, start + first, like=part)
            part += (sound.T * _FALLING[first : first + count]).T
            self._faded += count
        if self._faded == _FADE:
            self._tail = None

    def _sound(self, segment: Segment, start: int, *, like: NDArray[np.float32]) -> NDArray[np.float32]:
        """Return the sound of a segment from a sample on, as long as `like`, for as many loudspeakers."""
        if like.ndim == 2 and segment.wide:
            return segment.render_wide(start, len(like), beat=self.beat_on)
        sound = segment.render(start, len(like), beat=self.beat_on)
        return sound if like.ndim == 1 else sound[:, np.newaxis]


class VoiceAlone:
    """The words alone of what a player plays, for a device with a clock of its own.

    Each block asks which sample of the lesson is heard in the hall when it will be heard itself. In a silence
    between words it moves to that sample; until then it goes on sample by sample, since 100 parts in a
    million, which is much for two clocks, are a millisecond in ten seconds. Where it is far off for two
    blocks, as after a pause or a call said again, it moves at once.
    """

    wide = False

    def __init__(self, player: Player) -> None:
        self._player = player
        self._own_heard: Callable[[float], int] | None = None
        self._hall_heard: Callable[[], int] = lambda: 0
        self._clock: Callable[[], float] = lambda: 0.0
        self._at = 0
        self._far = False
        self._cut_at, self._last = player.cut_at, 0.0
        self.written = 0

    def follow(
        self, own_heard: Callable[[float], int], hall_heard: Callable[[], int], *, clock: Callable[[], float]
    ) -> None:
        """Tell which of its own samples is heard at a time, and which of the player's the hall hears now."""
        self._own_heard, self._hall_heard, self._clock = own_heard, hall_heard, clock

    def stop(self, *, faded: bool = True) -> None:
        """Do nothing: it falls silent with the player."""

    def fill(self, out: NDArray[np.float32]) -> None:
        """Write the next `len(out)` samples into `out` (float32, mono)."""
        count = len(out)
        own = 0 if self._own_heard is None else self._own_heard(self._clock())
        if own <= 0:  # it does not play yet, and cannot know when it will
            out[:] = 0.0
        else:
            self._speak(out, self._hall_heard() + self.written - own)
        if self._player.cut_at != self._cut_at:  # no click: what was cut short falls to nothing
            self._cut_at = self._player.cut_at
            faded = min(_FADE, count)
            out[:faded] += self._last * _FALLING[:faded]
        self._last = float(out[-1]) if count else 0.0
        self.written += count
        out *= _ALONE

    def _speak(self, out: NDArray[np.float32], wanted: int) -> None:
        """Write the words from where it is, or from the sample that is wanted."""
        count, off = len(out), wanted - self._at
        was_far, self._far = self._far, abs(off) > _FAR
        out[:] = self._player.words(self._at, count)
        if self._far and was_far:
            faded = min(_FADE, count)
            out[:faded] *= _FALLING[:faded]
            out[faded:] = 0.0
            moved = self._player.words(wanted, count)
            moved[:faded] *= 1.0 - _FALLING[:faded]
            out += moved
            self._at, self._far = wanted, False
        elif _NEAR < abs(off) <= _FAR and not out.any():
            between = self._player.words(min(self._at, wanted), count + abs(off))
            if not between.any():
                self._at = wanted
        self._at += count


def plausible_delay_s(current_s: float, dac_s: float, *, latency_s: float) -> float:
    """Return how long after its callback a block is heard, in seconds.

    Trusts the reported converter time where it can be one; some sound systems leave it at zero,
    or equal to the current time. There the stream's own latency stands in.
    """
    delay = dac_s - current_s
    if math.isfinite(delay) and 0.0 < delay <= _LONGEST_DELAY_S:
        return delay
    return latency_s


class StreamClock:
    """Maps a steady clock, in seconds, to the stream sample being heard."""

    def __init__(self, sample_rate: int) -> None:
        self._rate = sample_rate
        self._origins: deque[tuple[float, float]] = deque(maxlen=_MOST_REMEMBERED)  # when, and what
        self._origin: float | None = None

    def note(self, sample: int, *, called_s: float, delay_s: float) -> None:
        """Record that stream sample `sample`, asked for at `called_s`, is heard `delay_s` later."""
        self._origins.append((called_s, called_s + delay_s - sample / self._rate))
        while called_s - self._origins[0][0] > _REMEMBERED_S:
            self._origins.popleft()
        origins = sorted(origin for _, origin in self._origins)
        middle = len(origins) // 2
        self._origin = (origins[middle] + origins[~middle]) / 2

    def forget(self) -> None:
        """Start afresh: the stream was opened again."""
        self._origins.clear()
        self._origin = None

    def heard(self, now_s: float) -> int | None:
        """Return the sample heard at `now_s`, or None before the first callback."""
        return None if self._origin is None else math.floor((now_s - self._origin) * self._rate)

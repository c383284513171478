"""Many clips on one clock: any window of the mix, exactly, without ever building the whole.

Mixing is a plain sum, so a window comes out the same whatever the windows before it were.  It stays under
the ceiling by the levels of what goes in (`keep_headroom`), not by a limiter that would have to remember.

For two loudspeakers a clip is moved to a side by level alone.  A delay between them would move it too, but
would make a comb of the sum, and of whatever reaches a child from both.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from caller.sound import CEILING_DBTP, to_gain

_UNDER_READ_DB: Final = 0.2
"""True peak is read from four points a sample: up to this much lower than it is, for sounds below 12 kHz."""

HEADROOM_PEAK: Final = to_gain(CEILING_DBTP - _UNDER_READ_DB)
"""The highest sum of peaks that sounds at one time."""

_MIDDLE: Final = 0.5**0.5
"""The gain of each of two loudspeakers for what stands in the middle: together they have the power of one."""

_TO_A_SIDE: Final = 1.0 - _MIDDLE
"""What the near loudspeaker has more than in the middle, and the far one less.

The near one plays the clip as loud as a single loudspeaker would, so that no channel peaks higher than one
channel alone.  The far one is 7.7 dB lower: a clip is heard from its side, and a child next to the other
loudspeaker still has direct sound of it.  By the two gains' power a clip is 0.7 dB louder than in the middle.
"""

FAR_GAIN: Final = _MIDDLE - _TO_A_SIDE
"""The gain of the far loudspeaker: the square root of 2, less 1."""


class Clip(Protocol):
    """Anything that can be placed: a `Speech`, a `Tone`."""

    @property
    def samples(self) -> NDArray[np.float32]:
        """Mono at `SAMPLE_RATE`, shape (n,)."""

    @property
    def peak(self) -> float:
        """No true peak of `samples` is above this (1.0 is full scale)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placed:
    """A clip that starts at a sample of the mix."""

    start: int
    clip: Clip
    gain: float = 1.0
    toward: float = 0.0
    """Where it comes from where there are two loudspeakers: 1 is left, -1 is right, 0 is the middle."""

    @property
    def stop(self) -> int:
        """The first sample after it."""
        return self.start + int(self.clip.samples.size)

    @property
    def peak(self) -> float:
        """Its highest true peak in the mix."""
        return abs(self.gain) * self.clip.peak


def mix(placed: Iterable[Placed], start: int, count: int) -> NDArray[np.float32]:
    """Return samples `start` to `start + count` of the mix, shape (count,); silence where nothing is."""
    window = np.zeros(count, np.float32)
    stop = start + count
    for item in placed:
        first, last = max(start, item.start), min(stop, item.stop)
        if first < last:
            part = item.clip.samples[first - item.start : last - item.start]
            window[first - start : last - start] += part * np.float32(item.gain)
    return window


def mix_wide(placed: Sequence[Placed], start: int, count: int) -> NDArray[np.float32]:
    """Return the mix for two loudspeakers, left and right, shape (count, 2).

    `to_mono` of it is `mix`: what is moved to a side is added to one channel and taken from the other.
    """
    middle = mix(placed, start, count) * np.float32(_MIDDLE)
    aside = mix(
        (replace(item, gain=item.gain * item.toward) for item in placed if item.toward), start, count
    ) * np.float32(_TO_A_SIDE)
    return np.stack((middle + aside, middle - aside), axis=1)


def to_mono(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return left and right, shape (n, 2), as one channel, and mono as it is.

    Each goes into it at -3 dB: the mixing down to mono of ITU-R BS.775 (from memory).
    """
    return samples if samples.ndim == 1 else (samples[:, 0] + samples[:, 1]) * np.float32(_MIDDLE)


def keep_headroom(placed: Sequence[Placed]) -> tuple[Placed, ...]:
    """Return `placed` with gains such that no true peak of the mix is above `CEILING_DBTP`.

    A peak of a sum is at most the sum of the peaks.  Where clips that overlap could together pass the
    ceiling, that whole run of overlapping clips is turned down alike; a voice over a background, as
    `caller.sound` has them, never is.
    """
    kept = list(placed)
    order = sorted((i for i in range(len(kept)) if kept[i].stop > kept[i].start), key=lambda i: kept[i].start)
    position = 0
    while position < len(order):
        run = [order[position]]
        end = kept[run[0]].stop
        position += 1
        while position < len(order) and kept[order[position]].start < end:
            run.append(order[position])
            end = max(end, kept[order[position]].stop)
            position += 1
        together = _highest_sum([kept[i] for i in run])
        if together > HEADROOM_PEAK:
            for i in run:
                kept[i] = replace(kept[i], gain=kept[i].gain * HEADROOM_PEAK / together)
    return tuple(kept)


def _highest_sum(run: list[Placed]) -> float:
    """Return the highest sum of peaks that sound at one time."""
    # At one sample, what ends goes before what begins: they do not overlap.
    steps = sorted(
        [(item.start, 1, item.peak) for item in run] + [(item.stop, 0, -item.peak) for item in run]
    )
    total = highest = 0.0
    for _, _, change in steps:
        total += change
        highest = max(highest, total)
    return highest

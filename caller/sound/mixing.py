"""Many clips on one clock: any window of the mix, exactly, without ever building the whole.

Mixing is a plain sum, so a window comes out the same whatever the windows before it were.  It stays under
the ceiling by the levels of what goes in (`keep_headroom`), not by a limiter that would have to remember.
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

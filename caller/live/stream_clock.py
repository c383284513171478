"""Which sample is being heard now, worked out from what the audio callback is told.

Sample counts are the only clock of a lesson; this maps the machine's steady clock onto them. The
times that sound systems report jitter, and some are plainly wrong (see `plausible_delay_s`), so
the mapping is the median over many callbacks.
"""

from __future__ import annotations

import math
from collections import deque
from statistics import median

_REMEMBERED_S = 3.0  # a device that really moves (it ran dry, it was changed) is followed within half of this
_MOST_REMEMBERED = 256  # small blocks come often, and the median has to be quick
_LONGEST_DELAY_S = 1.0  # a longer buffer than this is a wrong report, not a buffer


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
        self._origin = median(origin for _, origin in self._origins)

    def forget(self) -> None:
        """Start afresh: the stream was opened again."""
        self._origins.clear()
        self._origin = None

    def heard(self, now_s: float) -> int | None:
        """Return the sample heard at `now_s`, or None before the first callback."""
        return None if self._origin is None else math.floor((now_s - self._origin) * self._rate)

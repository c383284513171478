"""What the level meter told in the last minutes, by when it was: for counting claps, and for nothing else."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable
from itertools import islice
from typing import Final

from caller.hall.claps import BLOCK_S, Reading

_REMEMBERED_S: Final = 60.0
_EVEN_S: Final = 10.0
_DEAF_AFTER_S: Final = 4.0  # a busy computer holds readings up; claps that have lost some are refused
_OPENS_WITHIN_S: Final = 5.0  # a process that starts, and a device that is opened
_LOST: Final = 1.5  # readings that lie so many blocks apart have lost one between them


class Ear:
    """Remembers readings. All methods may be called from any thread."""

    def __init__(self, *, clock: Callable[[], float] = time.monotonic) -> None:
        self._now = clock
        self._lock = threading.Lock()
        self._opened_s = clock()
        self._told = 0
        # How late each of the latest readings came, were they told evenly: the least is the sound system's.
        self._late_s: deque[float] = deque(maxlen=round(_EVEN_S / BLOCK_S))
        self._heard_s: float | None = None
        self._readings: deque[tuple[float, Reading]] = deque(maxlen=round(_REMEMBERED_S / BLOCK_S))

    @property
    def hears(self) -> bool | None:
        """Whether there is a microphone that tells something; None while that is not known yet."""
        with self._lock:
            if not self._readings:
                return None if self._now() - self._opened_s < _OPENS_WITHIN_S else False
            return self._heard_s is not None and self._now() - self._heard_s <= _DEAF_AFTER_S

    def hear(self, reading: Reading) -> None:
        """Take the next reading; it is about the tenth of a second that has just ended.

        A busy computer hands readings on late and several at once: they are evenly spaced all the same.
        """
        with self._lock:
            self._heard_s = self._now()
            self._told += 1
            self._late_s.append(self._heard_s - self._told * BLOCK_S)
            began_s = min(self._late_s) + (self._told - 1) * BLOCK_S
            self._readings.append((began_s, reading))

    @property
    def up_to_s(self) -> float:
        """The moment up to which everything has been heard."""
        with self._lock:
            return self._readings[-1][0] + BLOCK_S if self._readings else self._opened_s

    def since(self, start_s: float, count: int) -> tuple[Reading, ...]:
        """Return `count` readings from the moment `start_s` of the clock on; fewer where some are missing."""
        with self._lock:
            told = list(self._readings)
        first = next((at for at, (began_s, _) in enumerate(told) if began_s >= start_s - BLOCK_S / 2), None)
        if first is None or told[first][0] > start_s + _LOST * BLOCK_S:
            return ()
        return tuple(reading for _, reading in islice(told, first, first + count))

    def before(self, end_s: float, length_s: float) -> tuple[Reading, ...]:
        """Return the readings of a stretch of time."""
        with self._lock:
            told = tuple(self._readings)
        return tuple(reading for at_s, reading in told if end_s - length_s <= at_s < end_s - BLOCK_S)

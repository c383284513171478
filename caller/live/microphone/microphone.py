"""The microphone as a level meter: quiet enough for the next call, and the last minutes for counting
claps.

What is heard never enters this process, only how loud it is.
"""

from __future__ import annotations

import contextlib
import subprocess
import sys
import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from enum import Enum
from itertools import islice
from typing import Final

import numpy as np

from caller.hall.claps import BLOCK_S, LevelReading
from caller.live.words import said

_HEARD_FOR_S: Final = 60.0
_EVEN_S: Final = 10.0
_EAR_DEAF_AFTER_S: Final = 4.0  # a busy computer holds readings up; claps that have lost some are refused
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
        self._readings: deque[tuple[float, LevelReading]] = deque(maxlen=round(_HEARD_FOR_S / BLOCK_S))

    @property
    def hears(self) -> bool | None:
        """Whether there is a microphone that tells something; None while that is not known yet."""
        with self._lock:
            if not self._readings:
                return None if self._now() - self._opened_s < _OPENS_WITHIN_S else False
            return self._heard_s is not None and self._now() - self._heard_s <= _EAR_DEAF_AFTER_S

    def hear(self, reading: LevelReading) -> None:
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

    def since(self, start_s: float, count: int) -> tuple[LevelReading, ...]:
        """Return `count` readings from the moment `start_s` of the clock on; fewer where some are missing."""
        with self._lock:
            told = list(self._readings)
        first = next((at for at, (began_s, _) in enumerate(told) if began_s >= start_s - BLOCK_S / 2), None)
        if first is None or told[first][0] > start_s + _LOST * BLOCK_S:
            return ()
        return tuple(reading for _, reading in islice(told, first, first + count))

    def before(self, end_s: float, length_s: float) -> tuple[LevelReading, ...]:
        """Return the readings of a stretch of time."""
        with self._lock:
            told = tuple(self._readings)
        return tuple(reading for at_s, reading in told if end_s - length_s <= at_s < end_s - BLOCK_S)


_COMMAND: Final = (sys.executable, "-P", "-B", "-m", "caller.live.microphone.level_worker")
"""It writes no file at all, not even its own bytecode."""


class Microphone:
    """Passes levels on while there is a microphone; without one the lesson goes on as if it had not asked.

    Parameters
    ----------
    hear
        Is given the reading of every tenth of a second, in a thread of its own.
    command
        The process that tells levels.
    """

    def __init__(self, hear: Callable[[LevelReading], None], *, command: Sequence[str] = _COMMAND) -> None:
        self._lost = False
        self._told = False
        self._closed = False
        self._process: subprocess.Popen[str] | None = None
        try:
            self._process = subprocess.Popen(
                command,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
            )
        except OSError:
            self._lost = True
            return
        listening = threading.Thread(
            target=self._listen, args=(self._process, hear), name="microphone", daemon=True
        )
        listening.start()

    def notice(self) -> str:
        """Return, once, what the teacher should know about the microphone; else an empty text."""
        if self._told or not self._lost:
            return ""
        self._told = True
        return said("machine.no-microphone")

    def close(self) -> None:
        """End the process."""
        self._closed = True
        if self._process is not None:
            self._process.terminate()
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._process.wait(1.0)

    def _listen(self, process: subprocess.Popen[str], hear: Callable[[LevelReading], None]) -> None:
        assert process.stdout is not None  # asked for when the process was started
        with process.stdout as told:
            for line in told:
                try:
                    level_db, claps_db, peak_db = map(float, line.split())
                    hear(LevelReading(level_db, claps_db, peak_db))
                except ValueError:
                    break
        self._lost = not self._closed


NEAR_DB: Final = 6.0
"""So little over its background counts as quiet: twice what tells two loudnesses apart with certainty."""

_REMEMBERED_S: Final = 180.0  # a background from this long ago no longer counts
_KNOWN_AFTER_S: Final = 3.0
_BACKGROUND_PERCENTILE: Final = 10.0  # the caller and the class leave gaps between their sounds
_SETTLED_S: Final = 0.5  # quiet for so long, not only between two shouts
_DEAF_AFTER_S: Final = 1.5


class Opened(Enum):
    """Why the next call went on."""

    QUIET = "quiet"
    LIMIT = "limit"
    DEAF = "no microphone"


class QuietGate:
    """Holds a call until the hall is quiet. All methods may be called from any thread.

    Parameters
    ----------
    limit_s
        How long a call is held at most.
    told
        Is given why a call went on, and how long it was held, in seconds.
    """

    def __init__(
        self,
        limit_s: float,
        *,
        clock: Callable[[], float] = time.monotonic,
        told: Callable[[Opened, float], None] = lambda _why, _held_s: None,
    ) -> None:
        self._limit_s = limit_s
        self._now = clock
        self._told = told
        self._lock = threading.Lock()
        self._levels_db: deque[float] = deque(maxlen=round(_REMEMBERED_S / BLOCK_S))
        self._heard_s: float | None = None
        self._shut_s: float | None = None

    @property
    def holding(self) -> bool:
        """Whether a call is being held."""
        return self._shut_s is not None

    @property
    def background_db(self) -> float | None:
        """The level of the hall's quiet moments; None until enough was heard."""
        with self._lock:
            return self._background_db()

    def hear(self, level_db: float) -> None:
        """Take the next level."""
        with self._lock:
            self._levels_db.append(level_db)
            self._heard_s = self._now()

    def lets_through(self) -> bool:
        """Return whether the next call may go on; the first time it may not, the gate begins to wait."""
        now_s = self._now()
        with self._lock:
            if self._shut_s is None:
                self._shut_s = now_s
            held_s = now_s - self._shut_s
            why = self._why(now_s, held_s)
            if why is None:
                return False
            self._shut_s = None
        self._told(why, held_s)
        return True

    def give_way(self) -> None:
        """Wait no longer for this call: somebody has pressed on."""
        self._shut_s = None

    def _why(self, now_s: float, held_s: float) -> Opened | None:
        if self._heard_s is None or now_s - self._heard_s > _DEAF_AFTER_S:
            return Opened.DEAF
        background_db = self._background_db()
        recent = list(self._levels_db)[-round(_SETTLED_S / BLOCK_S) :]
        if held_s >= _SETTLED_S and background_db is not None and max(recent) <= background_db + NEAR_DB:
            return Opened.QUIET
        return Opened.LIMIT if held_s >= self._limit_s else None

    def _background_db(self) -> float | None:
        if len(self._levels_db) * BLOCK_S < _KNOWN_AFTER_S:
            return None
        return float(np.percentile(list(self._levels_db), _BACKGROUND_PERCENTILE))

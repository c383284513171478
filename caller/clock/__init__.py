"""Times as a dial shows them, times of day, and where the hands stand; this room imports nothing of ours.

Angles are degrees clockwise from twelve. The hour hand turns half a degree a minute, the minute hand six.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import total_ordering
from typing import Self

MINUTES_ON_DIAL = 720
MINUTES_IN_DAY = 1440

# ASCII digits only: "٤:٤٠" and a full-width colon are better refused than half understood.
_WRITTEN = re.compile(r"([0-9]{1,2}):([0-9]{2})")


class ClockError(ValueError):
    """Something cannot be on a clock; the text is one sentence for a teacher."""


@total_ordering
@dataclass(frozen=True, slots=True)
class ClockTime:
    """
    What the two hands of a dial show, without morning or afternoon.

    Parameters
    ----------
    hour : int
        1 to 12.
    minute : int
        0 to 59.

    Raises
    ------
    ClockError
        If no dial can show it.

    Notes
    -----
    Times are ordered round the dial from twelve o'clock, so 12:05 comes before 1:00.
    """

    hour: int
    minute: int = 0

    def __post_init__(self) -> None:
        if not 1 <= self.hour <= 12:
            raise ClockError(f"A dial has the hours 1 to 12, not {self.hour}.")
        if not 0 <= self.minute <= 59:
            raise ClockError(f"An hour has the minutes 0 to 59, not {self.minute}.")

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read ``H:MM`` or ``HH:MM``; anything else is a `ClockError`."""
        hour, minute = _written(text, example="4:40")
        if hour == 0 or 12 < hour < 24:
            shown = f"{(hour - 1) % 12 + 1}:{minute:02d}"
            raise ClockError(f'"{text}" is a time of the 24-hour clock; on a dial write {shown}.')
        if hour > 23:
            raise ClockError(f'"{text}" is not on a dial: the hours are 1 to 12.')
        return cls(hour, minute)

    @classmethod
    def from_minutes(cls, minutes: int) -> Self:
        """Minutes past twelve, round and round the dial (modulo 720)."""
        hour, minute = divmod(minutes % MINUTES_ON_DIAL, 60)
        return cls(hour or 12, minute)

    @property
    def minutes(self) -> int:
        """Minutes past twelve, 0 to 719."""
        return self.hour % 12 * 60 + self.minute

    def plus(self, minutes: int) -> Self:
        """The time so many minutes later (earlier when negative)."""
        return self.from_minutes(self.minutes + minutes)

    def __lt__(self, other: ClockTime) -> bool:
        return self.minutes < other.minutes

    def __str__(self) -> str:
        return f"{self.hour}:{self.minute:02d}"


@dataclass(frozen=True, slots=True, order=True)
class DayTime:
    """
    A time of day on the 24-hour clock, 00:00 to 23:59.

    Parameters
    ----------
    hour : int
        0 to 23.
    minute : int
        0 to 59.

    Raises
    ------
    ClockError
        If no day has it.
    """

    hour: int
    minute: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.hour <= 23:
            raise ClockError(f"A day has the hours 0 to 23, not {self.hour}.")
        if not 0 <= self.minute <= 59:
            raise ClockError(f"An hour has the minutes 0 to 59, not {self.minute}.")

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read ``H:MM`` or ``HH:MM``; anything else is a `ClockError`."""
        hour, minute = _written(text, example="16:40")
        if hour > 23:
            raise ClockError(f'"{text}" is not on a 24-hour clock: the hours are 0 to 23.')
        return cls(hour, minute)

    @classmethod
    def from_minutes(cls, minutes: int) -> Self:
        """Minutes past midnight, day after day (modulo 1440)."""
        return cls(*divmod(minutes % MINUTES_IN_DAY, 60))

    @property
    def minutes(self) -> int:
        """Minutes past midnight, 0 to 1439."""
        return self.hour * 60 + self.minute

    @property
    def dial(self) -> ClockTime:
        """What the dial on the wall shows at this time of day."""
        return ClockTime.from_minutes(self.minutes)

    def plus(self, minutes: int) -> Self:
        """The time of day so many minutes later (earlier when negative)."""
        return self.from_minutes(self.minutes + minutes)

    def __str__(self) -> str:
        return f"{self.hour:02d}:{self.minute:02d}"


def _written(text: str, *, example: str) -> tuple[int, int]:
    """Split a written time, with the minutes already known to be possible."""
    found = _WRITTEN.fullmatch(text)
    if found is None:
        raise ClockError(
            f'"{text}" is not written as a time: write the hour, a colon and two digits, such as {example}.'
        )
    hour, minute = int(found[1]), int(found[2])
    if minute > 59:
        raise ClockError(f'"{text}" is not a time: the minutes go from 00 to 59.')
    return hour, minute


ALL_TIMES: tuple[ClockTime, ...] = tuple(ClockTime.from_minutes(n) for n in range(MINUTES_ON_DIAL))
"""The 720 times of a dial, from 12:00 to 11:59."""


_NEARLY_UPRIGHT = math.sin(math.radians(16))


@dataclass(frozen=True, slots=True)
class Hands:
    """The angles of both hands in degrees clockwise from twelve, 0 up to 360."""

    hour_deg: float
    minute_deg: float


def hands(time: ClockTime) -> Hands:
    """Where the hands stand: the hour hand always moved on by the minutes."""
    return Hands(hour_deg=time.minutes / 2, minute_deg=6.0 * time.minute)


def angle_between(time: ClockTime) -> float:
    """The smaller angle between the hands in degrees, 0 to 180: |30 h - 5.5 m| folded at 180."""
    stand = hands(time)
    return _turn_deg(stand.hour_deg, stand.minute_deg)


def smallest_difference_deg(a: ClockTime, b: ClockTime) -> float:
    """
    How far two readings differ as pictures: the turn of the hand that differs most, 0 to 180 degrees.

    A watcher who can tell one hand by this angle can tell the two readings apart.
    """
    at, other = hands(a), hands(b)
    return max(_turn_deg(at.hour_deg, other.hour_deg), _turn_deg(at.minute_deg, other.minute_deg))


def arms_can_show(time: ClockTime) -> bool:
    """
    Whether two arms can be the hands, each to its own side or nearly upright.

    With both hands on one side the long arm has to cross the body, or the face, and the two overlap:
    nobody can tell then which is which.
    """
    stand = hands(time)
    hour, minute = (math.sin(math.radians(angle)) for angle in (stand.hour_deg, stand.minute_deg))
    return hour * minute <= 0 or min(abs(hour), abs(minute)) < _NEARLY_UPRIGHT


def _turn_deg(a_deg: float, b_deg: float) -> float:
    """The smaller turn from one direction to the other."""
    return abs((a_deg - b_deg + 180) % 360 - 180)

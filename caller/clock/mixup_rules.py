"""The rules behind the mix-ups, each from the true time to the reading a child gives.

H:M is the true time and p the numeral that the minute hand has last passed (12 for 0); hours wrap round the
dial. A rule returns None where the mix-up says nothing or happens to give the truth.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

from caller.clock.times import ClockTime

Rule: TypeAlias = Callable[[ClockTime], ClockTime | None]


def swap_is_right(time: ClockTime) -> bool:
    """Whether reading the hands the wrong way round gives the truth: twelve times, from 12:00 to 11:55."""
    return time.minute == 5 * time.hour % 60


def _numeral_passed(time: ClockTime) -> int:
    return time.minute // 5 or 12


def _with_hour(hour: int, minute: int) -> ClockTime:
    """Wrap the hour round the dial, so that 13 is 1 and 0 is 12."""
    return ClockTime((hour - 1) % 12 + 1, minute)


def _unless_true(time: ClockTime, wrong: ClockTime) -> ClockTime | None:
    return None if wrong == time else wrong


def hands_swapped(time: ClockTime) -> ClockTime | None:
    """Read p : 5 H."""
    if swap_is_right(time):
        return None
    return ClockTime(_numeral_passed(time), 5 * time.hour % 60)


def hands_swapped_closely(time: ClockTime) -> ClockTime | None:
    """Read p : 5 H and the marks past it."""
    # The hour hand stands at minute mark 5 H + M/12; children count whole marks.
    if swap_is_right(time) or time.minute < 12:
        return None
    return _unless_true(time, ClockTime(_numeral_passed(time), (5 * time.hour + time.minute // 12) % 60))


def minute_numeral_as_hour(time: ClockTime) -> ClockTime | None:
    """Read p : M."""
    return _unless_true(time, ClockTime(_numeral_passed(time), time.minute))


def numeral_as_minutes(time: ClockTime) -> ClockTime | None:
    """Read H : p."""
    return ClockTime(time.hour, _numeral_passed(time)) if time.minute % 5 == 0 else None


def numeral_as_tens(time: ClockTime) -> ClockTime | None:
    """Read H : 10 p, where that is a time."""
    tens = 10 * _numeral_passed(time)
    return ClockTime(time.hour, tens) if time.minute % 5 == 0 and tens < 60 else None


def joined_as_digits(time: ClockTime) -> ClockTime | None:
    """Read H and p side by side, where that is an hour."""
    joined = int(f"{time.hour}{_numeral_passed(time)}")
    return ClockTime(joined, 0) if time.minute % 5 == 0 and joined <= 12 else None


def hour_to_nearest(time: ClockTime) -> ClockTime | None:
    """Read H + 1 : M past the half hour."""
    # At half past the hand is equally far from both numerals: the rule says nothing there.
    return _with_hour(time.hour + 1, time.minute) if time.minute > 30 else None


def hour_to_larger(time: ClockTime) -> ClockTime | None:
    """Read H + 1 : M whenever the hand is between two numerals."""
    return _with_hour(time.hour + 1, time.minute) if time.minute > 0 else None


def half_names_coming_hour(time: ClockTime) -> ClockTime | None:
    """Read H + 1 : 30 at half past."""
    return _with_hour(time.hour + 1, 30) if time.minute == 30 else None


def hour_kept_after(time: ClockTime) -> ClockTime | None:
    """Read H - 1 : M in the first ten minutes."""
    return _with_hour(time.hour - 1, time.minute) if 0 < time.minute <= 10 else None


def to_keeps_passed_hour(time: ClockTime) -> ClockTime | None:
    """Read H - 1 : M past the half hour."""
    return _with_hour(time.hour - 1, time.minute) if time.minute > 30 else None


def past_for_to(time: ClockTime) -> ClockTime | None:
    """The same distance on the other side of the hour that is named."""
    if time.minute in (0, 30):
        return None
    return _with_hour(time.hour + (1 if time.minute > 30 else -1), 60 - time.minute)


def counted_backwards(time: ClockTime) -> ClockTime | None:
    """Read H : 60 - M."""
    return None if time.minute in (0, 30) else ClockTime(time.hour, 60 - time.minute)


def counted_from_hour_hand(time: ClockTime) -> ClockTime | None:
    """Read H : M - 5 H."""
    return None if time.hour == 12 else ClockTime(time.hour, (time.minute - 5 * time.hour) % 60)


def fives(change_min: int) -> Rule:
    """Read H : M changed by five minutes."""

    def rule(time: ClockTime) -> ClockTime | None:
        return ClockTime(time.hour, time.minute + change_min) if 5 <= time.minute <= 50 else None

    return rule


def ones(change_min: int) -> Rule:
    """Read H : M changed by a minute, inside the hour."""

    def rule(time: ClockTime) -> ClockTime | None:
        minute = time.minute + change_min
        return ClockTime(time.hour, minute) if time.minute % 5 and minute < 60 else None

    return rule


def nearest_five(change_min: int) -> Rule:
    """The five before (0) or after (5) a single minute."""

    def rule(time: ClockTime) -> ClockTime | None:
        left = time.minute % 5
        return time.plus(change_min - left) if left else None

    return rule


def zero_moved(time: ClockTime) -> ClockTime | None:
    """Read H : 10 M for a few minutes, H : M/10 for whole tens."""
    if 0 < time.minute < 6:
        return ClockTime(time.hour, 10 * time.minute)
    return ClockTime(time.hour, time.minute // 10) if time.minute and time.minute % 10 == 0 else None


def money_fractions(time: ClockTime) -> ClockTime | None:
    """A quarter as 25, a half as 50."""
    taken_for = {15: 25, 30: 50, 45: 35}
    return ClockTime(time.hour, taken_for[time.minute]) if time.minute in taken_for else None

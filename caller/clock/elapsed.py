"""Later and earlier: from one time to another, across the hour, and how the sum goes wrong."""

from __future__ import annotations

from typing import TypeVar

from caller.clock.times import MINUTES_ON_DIAL, ClockTime

Value = TypeVar("Value", int, ClockTime)

WHOLE_HOURS_BY_NAME = "whole-hours-by-name"
BORROWED_A_HUNDRED = "borrowed-a-hundred"
HOUR_NOT_CARRIED = "hour-not-carried"
CARRIED_AT_A_HUNDRED = "carried-at-a-hundred"
WRONG_WAY = "wrong-way"

SOURCES: dict[str, tuple[str, str]] = {
    WHOLE_HOURS_BY_NAME: ("Kamii & Russell 2012, JRME 43(3):296-315", "found"),
    BORROWED_A_HUNDRED: ("Vakali 1991 (base ten for base sixty)", "from memory"),
    HOUR_NOT_CARRIED: ("common practice, no source", "no source"),
    CARRIED_AT_A_HUNDRED: ("Vakali 1991 (base ten for base sixty)", "from memory"),
    WRONG_WAY: ("common practice, no source", "no source"),
}
"""Each mistake with who describes it and how that is known."""


def elapsed(start: ClockTime, end: ClockTime) -> int:
    """Minutes from `start` forward to `end`, 1 to 720: the same time again is a whole turn later."""
    return (end.minutes - start.minutes) % MINUTES_ON_DIAL or MINUTES_ON_DIAL


def crosses_hour(start: ClockTime, end: ClockTime) -> bool:
    """Whether an o'clock lies between the two, or is the end: the sum cannot be done on the minutes alone."""
    return start.minute + elapsed(start, end) >= 60


def wrong_durations(start: ClockTime, end: ClockTime) -> dict[int, frozenset[str]]:
    """
    The durations in minutes that documented mistakes give, each with the names of all that give it.

    "whole-hours-by-name" (end on the hour): hours by their names, then the minutes of the start added, so
    8:30 to 11:00 becomes 3 h 30. "borrowed-a-hundred": the times are subtracted as if an hour had a
    hundred minutes, so 9:45 to 12:00 becomes 2 h 55. "wrong-way": from the end round to the start.
    """
    right = elapsed(start, end)
    hours_by_name = (end.hour - start.hour) % 12
    given: dict[str, int] = {WRONG_WAY: MINUTES_ON_DIAL - right}
    if end.minute == 0 and start.minute:
        given[WHOLE_HOURS_BY_NAME] = 60 * hours_by_name + start.minute
    borrowed = 100 + end.minute - start.minute
    # What is left may be no number of minutes ("2 h 70"), and then no child would offer it as a time.
    if end.minute < start.minute and borrowed < 60:
        given[BORROWED_A_HUNDRED] = 60 * (right // 60) + borrowed
    return _by_value({name: minutes for name, minutes in given.items() if minutes not in (0, right)})


def wrong_ends(start: ClockTime, minutes: int) -> dict[ClockTime, frozenset[str]]:
    """
    The times that mistakes give for "so many minutes after `start`" (before, when negative).

    "hour-not-carried": the minutes go past the twelve and the hour stays. "carried-at-a-hundred": sixty
    and more minutes are brought under sixty by taking a hundred. "wrong-way": earlier for later.
    """
    right = start.plus(minutes)
    given: dict[str, ClockTime] = {WRONG_WAY: start.plus(-minutes)}
    if right.hour != start.hour:
        given[HOUR_NOT_CARRIED] = ClockTime(start.hour, right.minute)
    hours, rest = divmod(abs(minutes), 60)
    total = start.minute + rest
    if minutes > 0 and total >= 100:
        given[CARRIED_AT_A_HUNDRED] = ClockTime(start.hour, total - 100).plus(60 * (hours + 1))
    return _by_value({name: time for name, time in given.items() if time != right})


def _by_value(given: dict[str, Value]) -> dict[Value, frozenset[str]]:
    """Turn name to value into value to all its names."""
    return {value: frozenset(name for name, v in given.items() if v == value) for value in given.values()}

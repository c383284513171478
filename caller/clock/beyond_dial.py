"""Beyond the dial: parts of the day, the 24-hour clock, later and earlier, and how children mix them up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias, TypeVar

from caller.clock import MINUTES_ON_DIAL, ClockTime, DayTime

DayPart: TypeAlias = Literal["midnight", "morning", "noon", "afternoon", "evening", "night"]
Half: TypeAlias = Literal["am", "pm"]

ADDED_TEN = "added-ten"
OTHER_HALF = "other-half-of-the-day"

SOURCES_OF_DAY_PARTS: dict[str, tuple[str, str]] = {
    ADDED_TEN: ("common practice, no source", "no source"),
    OTHER_HALF: ("common practice, no source", "no source"),
}
"""Each mistake with who describes it and how that is known."""


def half(time: DayTime) -> Half:
    """The half of the day: noon begins the "pm" half, midnight the "am" half."""
    return "am" if time.minutes < MINUTES_ON_DIAL else "pm"


def on_day(time: ClockTime, half: Half) -> DayTime:
    """The time of day at which the dial shows this time in this half of the day."""
    return DayTime.from_minutes(time.minutes + (MINUTES_ON_DIAL if half == "pm" else 0))


def day_part(time: DayTime) -> DayPart:
    """
    The part of the day.

    The words are those of the English Year 3 programme; where evening and night begin (18:00 and 21:00
    to 5:00) is common practice, no source.
    """
    if time.minutes in (0, MINUTES_ON_DIAL):
        return "noon" if time.minutes else "midnight"
    if 5 <= time.hour < 12:
        return "morning"
    if 12 <= time.hour < 18:
        return "afternoon"
    return "evening" if 18 <= time.hour < 21 else "night"


def wrong_day_times(time: DayTime) -> dict[DayTime, frozenset[str]]:
    """
    The wrong 24-hour times a child gives for a time said with its part of the day.

    "other-half-of-the-day": the twelve hours are added where they should not be, or not added.
    "added-ten": ten is added instead of twelve, so 7:20 in the evening becomes 17:20.
    """
    wrong = {time.plus(MINUTES_ON_DIAL): frozenset({OTHER_HALF})}
    if time.hour >= 13:
        wrong[DayTime(time.hour - 2, time.minute)] = frozenset({ADDED_TEN})
    return wrong


Value = TypeVar("Value", int, ClockTime)
HopKind: TypeAlias = Literal["to the hour", "hours", "rest"]

WHOLE_HOURS_BY_NAME = "whole-hours-by-name"
BORROWED_A_HUNDRED = "borrowed-a-hundred"
HOUR_NOT_CARRIED = "hour-not-carried"
CARRIED_AT_A_HUNDRED = "carried-at-a-hundred"
WRONG_WAY = "wrong-way"

SOURCES_OF_SUMS: dict[str, tuple[str, str]] = {
    WHOLE_HOURS_BY_NAME: ("Kamii & Russell 2012, JRME 43(3):296-315", "found"),
    BORROWED_A_HUNDRED: ("Vakali 1991 (base ten for base sixty)", "from memory"),
    HOUR_NOT_CARRIED: ("common practice, no source", "no source"),
    CARRIED_AT_A_HUNDRED: ("Vakali 1991 (base ten for base sixty)", "from memory"),
    WRONG_WAY: ("common practice, no source", "no source"),
}
"""Each mistake with who describes it and how that is known."""


@dataclass(frozen=True, slots=True)
class Hop:
    """
    One jump of a worked example on an empty number line.

    Attributes
    ----------
    start, end : ClockTime
        From where to where.
    minutes : int
        How far, always more than 0, whichever way the line is walked.
    kind : str
        "to the hour": to the o'clock next on the way. "hours": whole hours. "rest": what is left.
    """

    start: ClockTime
    end: ClockTime
    minutes: int
    kind: HopKind


def elapsed(start: ClockTime, end: ClockTime) -> int:
    """Minutes from `start` forward to `end`, 1 to 720: the same time again is a whole turn later."""
    return (end.minutes - start.minutes) % MINUTES_ON_DIAL or MINUTES_ON_DIAL


def hops(start: ClockTime, minutes: int) -> tuple[Hop, ...]:
    """
    The jumps of a worked example: to the hour, whole hours, and the rest.

    Jumping over the o'clock on an open line is how children come to count across the hour (Dixon 2008, Teach
    Child Math 15:18). For "how long" give `elapsed(start, end)`.

    Parameters
    ----------
    minutes : int
        How much later, or earlier when negative; not 0.
    """
    way, left = (1, minutes) if minutes > 0 else (-1, -minutes)
    to_hour = (60 - start.minute if minutes > 0 else start.minute) % 60
    steps: list[tuple[HopKind, int]] = []
    if to_hour and left >= to_hour:
        steps.append(("to the hour", to_hour))
        left -= to_hour
    # From a time inside the hour that is never left, whole hours cannot come.
    steps += [("hours", left - left % 60), ("rest", left % 60)]
    walked: list[Hop] = []
    at = start
    for kind, length in steps:
        if length:
            reached = at.plus(way * length)
            walked.append(Hop(at, reached, length, kind))
            at = reached
    return tuple(walked)


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

    None is the start itself. "hour-not-carried": the long hand goes past the twelve with the minutes that
    are left beside whole hours, and the hour is not changed for it. "carried-at-a-hundred": sixty and more
    minutes are brought under sixty by taking a hundred. "wrong-way": earlier for later.
    """
    right = start.plus(minutes)
    given: dict[str, ClockTime] = {WRONG_WAY: start.plus(-minutes)}
    hours, rest = divmod(abs(minutes), 60)
    total = start.minute + (rest if minutes > 0 else -rest)
    if not 0 <= total < 60:
        given[HOUR_NOT_CARRIED] = right.plus(-60 if minutes > 0 else 60)
    if total >= 100:
        given[CARRIED_AT_A_HUNDRED] = ClockTime(start.hour, total - 100).plus(60 * (hours + 1))
    return _by_value({name: time for name, time in given.items() if time not in (right, start)})


def _by_value(given: dict[str, Value]) -> dict[Value, frozenset[str]]:
    """Turn name to value into value to all its names."""
    return {value: frozenset(name for name, v in given.items() if v == value) for value in given.values()}

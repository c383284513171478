"""Morning or afternoon, the 24-hour clock, and how children mix them up."""

from __future__ import annotations

from typing import Literal, TypeAlias

from caller.clock.times import MINUTES_ON_DIAL, ClockTime, DayTime

DayPart: TypeAlias = Literal["midnight", "morning", "noon", "afternoon", "evening", "night"]
Half: TypeAlias = Literal["am", "pm"]

TOOK_AWAY_TEN = "took-away-ten"
ADDED_TEN = "added-ten"
OTHER_HALF = "other-half-of-the-day"

SOURCES: dict[str, tuple[str, str]] = {
    TOOK_AWAY_TEN: ("common practice, no source", "from memory"),
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


def wrong_dials(time: DayTime) -> dict[ClockTime, frozenset[str]]:
    """
    The wrong times a child puts on the dial for a 24-hour time.

    "took-away-ten": 17:20 becomes 7:20, from 13:00 to 22:59.
    """
    if 13 <= time.hour <= 22:
        return {ClockTime(time.hour - 10, time.minute): frozenset({TOOK_AWAY_TEN})}
    return {}


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

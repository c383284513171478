"""The rules behind the mix-ups, each from the true time to the reading a child gives in a manner of speaking.

H:M is the true time and p the numeral that the minute hand has last passed (12 for 0); hours wrap round the
dial. A rule returns None where the mix-up says nothing, gives words that nobody says, or happens to give the
truth. A rule about the words changes one part of the reading and leaves the others.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeAlias

from caller.clock import ClockTime
from caller.clock.said_and_shown import Manner, Spoken, coming_hour, meant, spoken

Rule: TypeAlias = Callable[[ClockTime, Manner], ClockTime | None]
Told: TypeAlias = Callable[[ClockTime, Manner], bool]


def always_told(_time: ClockTime, _manner: Manner) -> bool:
    """Whatever the dial, the sentence gives these very words."""
    return True


def swap_is_right(time: ClockTime) -> bool:
    """Whether reading the hands the wrong way round gives the truth: twelve times, from 12:00 to 11:55."""
    return time.minute == 5 * time.hour % 60


def _numeral_passed(time: ClockTime) -> int:
    return time.minute // 5 or 12


def _hour_before(hour: int) -> int:
    return (hour - 2) % 12 + 1


def _unless_true(time: ClockTime, wrong: ClockTime | None) -> ClockTime | None:
    return None if wrong == time else wrong


def _said(time: ClockTime, words: Spoken, manner: Manner) -> ClockTime | None:
    """The time that is said so, unless it is the true one."""
    return _unless_true(time, meant(words, manner))


def _with_hour(time: ClockTime, manner: Manner, hour: int) -> ClockTime | None:
    """Exchange the hour that is named."""
    return _said(time, replace(spoken(time, manner), hour=hour), manner)


def hands_swapped(time: ClockTime, _manner: Manner) -> ClockTime | None:
    """Read p : 5 H."""
    if swap_is_right(time):
        return None
    return ClockTime(_numeral_passed(time), 5 * time.hour % 60)


def hands_swapped_closely(time: ClockTime, _manner: Manner) -> ClockTime | None:
    """Read p : 5 H and the marks past it."""
    # The hour hand stands at minute mark 5 H + M/12; children count whole marks.
    if swap_is_right(time) or time.minute < 12:
        return None
    return _unless_true(time, ClockTime(_numeral_passed(time), (5 * time.hour + time.minute // 12) % 60))


def swap_is_seen(time: ClockTime, manner: Manner) -> bool:
    """
    Whether exchanging the hands gives these very words.

    The long hand has to stand on the numeral that is named as the hour, and the short hand must not yet
    seem to stand on the next one.
    """
    wrong = hands_swapped(time, manner)
    if wrong is None or time.minute % 5 or time.minute >= 55:
        return False
    return spoken(wrong, manner).hour == _numeral_passed(time)


def close_swap_is_seen(time: ClockTime, manner: Manner) -> bool:
    """Whether exchanging the hands and counting the marks gives these very words."""
    wrong = hands_swapped_closely(time, manner)
    return wrong is not None and spoken(wrong, manner).hour == _numeral_passed(time)


def minute_numeral_as_hour(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Name p as the hour; between two numerals read p : M."""
    if time.minute % 5:
        return _unless_true(time, ClockTime(_numeral_passed(time), time.minute))
    return _with_hour(time, manner, _numeral_passed(time))


def on_a_numeral(time: ClockTime, _manner: Manner) -> bool:
    """Whether the long hand stands on a numeral, so that its number can be named."""
    return time.minute % 5 == 0


def numeral_as_minutes(time: ClockTime, _manner: Manner) -> ClockTime | None:
    """Read H : p."""
    return ClockTime(time.hour, _numeral_passed(time)) if time.minute % 5 == 0 else None


def numeral_as_tens(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Count ten for each numeral."""
    words = spoken(time, manner)
    if words.distance == 0 or words.distance % 5:
        return None
    return _said(time, replace(words, distance=2 * words.distance), manner)


def joined_as_digits(time: ClockTime, _manner: Manner) -> ClockTime | None:
    """Read H and p side by side, where that is an hour."""
    joined = int(f"{time.hour}{_numeral_passed(time)}")
    return ClockTime(joined, 0) if time.minute % 5 == 0 and joined <= 12 else None


def hour_to_nearest(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Name the numeral that the short hand is nearest to."""
    # At half past the hand is equally far from both numerals: the rule says nothing there.
    if time.minute in (0, 30):
        return None
    return _with_hour(time, manner, coming_hour(time.hour) if time.minute > 30 else time.hour)


def hour_to_larger(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Name the coming hour whenever the hand is between two numerals."""
    return _with_hour(time, manner, coming_hour(time.hour)) if time.minute > 0 else None


def half_names_coming_hour(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Name the coming hour at half past."""
    if manner != "analogue" or time.minute != 30:
        return None
    return _with_hour(time, manner, coming_hour(time.hour))


def hour_kept_after(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Name the hour before in the first ten minutes."""
    return _with_hour(time, manner, _hour_before(time.hour)) if 0 < time.minute <= 10 else None


def passed_hour_named(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Name the hour that has passed where the coming one is right."""
    return None if manner == "digital" else _with_hour(time, manner, time.hour)


def past_for_to(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Say past for to, and to for past."""
    words = spoken(time, manner)
    if manner == "digital" or words.distance == 0:
        return None
    return _said(time, replace(words, towards="to" if words.towards == "past" else "past"), manner)


def counted_backwards(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Count the minutes the other way round."""
    words = spoken(time, manner)
    if words.distance == 0:
        return None
    return _said(time, replace(words, distance=60 - words.distance), manner)


def counted_from_hour_hand(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Count from the numeral the short hand has passed on to the long hand."""
    words = spoken(time, manner)
    counted = (time.minute - 5 * time.hour) % 60
    # Where the hands stand together nothing is left to count.
    if time.hour == 12 or words.towards == "to" or words.from_half or counted < 5:
        return None
    return _said(time, replace(words, distance=counted), manner)


def fives(change_min: int) -> Rule:
    """Count one five more (5) or fewer (-5)."""

    def rule(time: ClockTime, manner: Manner) -> ClockTime | None:
        words = spoken(time, manner)
        if words.distance < 5:
            return None
        return _said(time, replace(words, distance=words.distance + change_min), manner)

    return rule


def ones(change_min: int) -> Rule:
    """Count one single minute more (1) or fewer (-1)."""

    def rule(time: ClockTime, manner: Manner) -> ClockTime | None:
        words = spoken(time, manner)
        if words.distance % 5 == 0:
            return None
        return _said(time, replace(words, distance=words.distance + change_min), manner)

    return rule


def ones_left_out(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Leave out the single minutes."""
    words = spoken(time, manner)
    ones_counted = words.distance % 5
    return (
        _said(time, replace(words, distance=words.distance - ones_counted), manner) if ones_counted else None
    )


def rounded_on(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Go on to the next numeral, where the minutes are counted that way."""
    words = spoken(time, manner)
    ones_counted = words.distance % 5
    # Counted back to the hour, "on" is two ways: round the dial, and along the count.
    if not ones_counted or words.towards == "to":
        return None
    if manner == "digital":
        return time.plus(5 - ones_counted)
    return _said(time, replace(words, distance=words.distance + 5 - ones_counted), manner)


_LOOK_ALIKE = {4: 6, 6: 4, 9: 11, 11: 9}


def look_alike(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Name VI for IV and XI for IX, and the other way round: the same strokes in another order."""
    named = spoken(time, manner).hour
    return _with_hour(time, manner, _LOOK_ALIKE[named]) if named in _LOOK_ALIKE else None


def look_alike_is_the_hour(time: ClockTime, manner: Manner) -> bool:
    """Whether only the hour is changed: the long hand points at neither of the two numerals."""
    named = spoken(time, manner).hour
    return named in _LOOK_ALIKE and time.minute // 5 not in (named, _LOOK_ALIKE[named])


def zero_moved(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Read H : 10 M for a few minutes, H : M/10 for whole tens."""
    if manner != "digital":
        return None
    if 0 < time.minute < 6:
        return ClockTime(time.hour, 10 * time.minute)
    return ClockTime(time.hour, time.minute // 10) if time.minute and time.minute % 10 == 0 else None


def money_fractions(time: ClockTime, manner: Manner) -> ClockTime | None:
    """Count a quarter as 25."""
    words = spoken(time, manner)
    if manner == "digital" or words.distance != 15:
        return None
    return _said(time, replace(words, distance=25), manner)

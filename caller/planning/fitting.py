"""Fit a lesson to its minutes: how many rounds, how long to think, how long to warm up."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from caller.errors import UserError
from caller.lesson.model import Lesson
from caller.planning.lengths import total_s
from caller.timeline.layout import CallLayout, seconds_of

TOLERANCE_S: Final = 15.0
"""A lesson fits its period if it is at most so much longer or shorter."""

_NEARLY_S: Final = 10.0  # well inside the tolerance
_TALK_IN_A_ROUND_S: Final = 75.0  # a first guess; the real words decide


class NoFitError(UserError):
    """No lesson is as long as the period."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Between what a lesson's length may be changed, in seconds."""

    think_s: tuple[int, int]
    warm_up_s: tuple[int, int]
    fewest_rounds: int
    most_rounds: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """What makes a lesson as long as its period."""

    rounds: int
    think_s: int
    warm_up_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Measured:
    """A lesson of so many rounds, taken apart."""

    rounds: int
    thinks: int
    rest_s: float  # without think time and warm-up
    round_s: float  # of this, on average in one round


def fit(
    make: Callable[[int], Lesson],
    perform: Callable[[Lesson], tuple[CallLayout, ...]],
    *,
    seconds: float,
    limits: Limits,
    warm_up_share: float,
) -> Fit:
    """Return the fit that keeps the class active longest.

    Talk has its length, so with fewer rounds and longer think time more of the lesson is movement. Of all
    think times and warm-ups within `limits` the ones with the most active time are taken, for the number of
    rounds that the longest think time leaves room for.

    Parameters
    ----------
    make
        The lesson with so many rounds; its think and warm-up times do not matter.
    perform
        A lesson's calls with their real lengths.
    seconds
        How long the lesson is to be.
    warm_up_share
        Which share of the warm-up counts as active.

    Raises
    ------
    NoFitError
        If nothing within `limits` fits.
    """

    def measured(rounds: int) -> _Measured:
        return _measure(make(rounds), perform)

    guess = round((seconds - 4 * _TALK_IN_A_ROUND_S) / (_TALK_IN_A_ROUND_S + limits.think_s[1]))
    found = measured(_within(guess, limits))
    rounds = _rounds_with_room(found, seconds, limits)
    tried: set[int] = set()
    while rounds not in tried and limits.fewest_rounds <= rounds <= limits.most_rounds:
        if rounds != found.rounds:
            found = measured(rounds)
        best = _best(found, seconds, limits, warm_up_share)
        if best is not None:
            return best
        tried.add(rounds)
        rounds += 1 if _longest_s(found, limits) < seconds else -1
    raise NoFitError(
        f"No lesson fits {seconds / 60:.0f} minutes here: {_counted(found.rounds)} would take "
        f"{_shortest_s(found, limits) / 60:.1f} to {_longest_s(found, limits) / 60:.1f} minutes. "
        "Give it other minutes."
    )


def _shortest_s(found: _Measured, limits: Limits) -> float:
    return found.rest_s + found.thinks * limits.think_s[0] + limits.warm_up_s[0]


def _longest_s(found: _Measured, limits: Limits) -> float:
    return found.rest_s + found.thinks * limits.think_s[1] + limits.warm_up_s[1]


def _counted(rounds: int) -> str:
    return "one round" if rounds == 1 else f"{rounds} rounds"


def _measure(lesson: Lesson, perform: Callable[[Lesson], tuple[CallLayout, ...]]) -> _Measured:
    layouts = perform(lesson)
    thinking = [each.call.countdown.seconds for each in layouts if each.call.countdown is not None]
    warming_s = sum(each.call.hold_s for each in layouts if each.call.kind == "warm-up")
    rounds = len(lesson.rounds)
    in_rounds_s = sum(
        seconds_of(each.length) - (each.call.countdown.seconds if each.call.countdown else 0)
        for each in layouts
        if each.call.round is not None
    )
    return _Measured(
        rounds=rounds,
        thinks=sum(each.call.kind == "move" for each in layouts),
        rest_s=total_s(layouts) - sum(thinking) - warming_s,
        round_s=in_rounds_s / rounds,
    )


def _rounds_with_room(found: _Measured, seconds: float, limits: Limits) -> int:
    """Return how many rounds fit at the longest think time, so that the warm-up takes what is left."""
    think_s = limits.think_s[1]
    outside_s = found.rest_s - found.rounds * found.round_s + (found.thinks - found.rounds) * think_s
    room_s = seconds - outside_s - sum(limits.warm_up_s) / 2
    return _within(math.floor(room_s / (found.round_s + think_s)), limits)


def _best(found: _Measured, seconds: float, limits: Limits, warm_up_share: float) -> Fit | None:
    """Return the most active of the fits that are exact, else of those that are nearly so."""
    least_s, most_s = limits.warm_up_s
    exact, near = [], []
    for think_s in range(limits.think_s[0], limits.think_s[1] + 1):
        wanted_s = round(seconds - found.rest_s - found.thinks * think_s)
        warm_up_s = max(least_s, min(most_s, wanted_s))
        active_s = warm_up_share * warm_up_s + found.thinks * think_s
        each = (active_s, Fit(rounds=found.rounds, think_s=think_s, warm_up_s=warm_up_s))
        if warm_up_s == wanted_s:
            exact.append(each)
        elif abs(warm_up_s - wanted_s) <= _NEARLY_S:
            near.append(each)
    return max(exact or near, key=lambda each: each[0])[1] if exact or near else None


def _within(rounds: int, limits: Limits) -> int:
    return max(limits.fewest_rounds, min(limits.most_rounds, rounds))

"""Fit a lesson to its minutes: how many rounds, how long to warm up, how long each bout."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from caller.errors import UserError
from caller.lesson.model import Lesson
from caller.planning.lengths import total_s
from caller.timeline.layout import CallLayout

TOLERANCE_S: Final = 15.0
"""A lesson fits its period if it is at most so much longer or shorter."""

_NEARLY_S: Final = 8.0  # well inside the tolerance
_ROUND_S: Final = 75.0  # a first guess; the real words decide
_TRIES: Final = 8


class NoFitError(UserError):
    """No lesson is as long as the period."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Between what a lesson's length may be changed.

    Attributes
    ----------
    think_s
        The least and the most time to decide and to move.
    usual_think_s
        The time from which lengthening and shortening start.
    warm_up_s
        The least, the usual and the most seconds of warm-up.
    """

    think_s: tuple[int, int]
    usual_think_s: int
    warm_up_s: tuple[int, int, int]
    fewest_rounds: int
    most_rounds: int


def fit(
    make: Callable[[int], Lesson],
    perform: Callable[[Lesson], tuple[CallLayout, ...]],
    *,
    seconds: float,
    limits: Limits,
) -> Lesson:
    """Return the lesson with the most clocks that is as long as the period.

    The number of rounds comes first, at the usual bouts: a round is more than half movement, and more clocks
    teach more. What is left over then lengthens (or shortens) the warm-up, and after it the bouts.

    Parameters
    ----------
    make
        The lesson with so many rounds.
    perform
        A lesson's calls with their real lengths.
    seconds
        How long the lesson is to be.

    Raises
    ------
    NoFitError
        If nothing within `limits` fits.
    """

    def length_s(lesson: Lesson) -> float:
        return total_s(perform(lesson))

    _, usual_s, _ = limits.warm_up_s
    rounds = min(max(round((seconds - 2 * usual_s) / _ROUND_S), limits.fewest_rounds), limits.most_rounds)
    tried: dict[int, float] = {}
    while (
        len(tried) < _TRIES and rounds not in tried and limits.fewest_rounds <= rounds <= limits.most_rounds
    ):
        lesson = _warmed(make(rounds), usual_s)
        tried[rounds] = length_s(lesson)
        fitted, over_s = _adjusted(lesson, length_s, seconds, tried[rounds], limits)
        if fitted is not None:
            return fitted
        round_s = max((tried[rounds] - usual_s) / (rounds + 1), 1.0)
        step = max(1, round(abs(over_s) / round_s))
        wanted = rounds - step if over_s > 0 else rounds + step
        rounds = min(max(wanted, limits.fewest_rounds), limits.most_rounds)
        if rounds in tried and step > 1:  # between two that were tried
            rounds += 1 if over_s > 0 else -1
    nearest = min(tried, key=lambda count: abs(tried[count] - seconds)) if tried else limits.fewest_rounds
    raise NoFitError(
        f"No lesson fits {seconds / 60:.0f} minutes here: {_counted(nearest)} would take about "
        f"{tried.get(nearest, 0.0) / 60:.1f} minutes. Give it other minutes."
    )


def _adjusted(
    lesson: Lesson, length_s: Callable[[Lesson], float], seconds: float, long_s: float, limits: Limits
) -> tuple[Lesson | None, float]:
    """Return the lesson made as long as the period, or None and by how much it stays too long."""
    least_s, usual_s, most_s = limits.warm_up_s
    warm_up_s = min(max(round(usual_s + seconds - long_s), least_s), most_s)
    lesson = _warmed(lesson, warm_up_s)
    over_s = length_s(lesson) - seconds
    think_s = limits.usual_think_s
    for _ in range(_TRIES):
        if abs(over_s) <= _NEARLY_S:
            return lesson, over_s
        step_s = round(-over_s / len(lesson.rounds)) or (1 if over_s < 0 else -1)
        wanted_s = min(max(think_s + step_s, limits.think_s[0]), limits.think_s[1])
        if wanted_s == think_s:
            break
        think_s = wanted_s
        lesson = replace(lesson, think_seconds=think_s)
        over_s = length_s(lesson) - seconds
        # Bouts that the moves and the age hold short leave a rest; the warm-up takes what it can of it.
        warm_up_s = min(max(round(lesson.opening.warm_up_seconds - over_s), least_s), most_s)
        if abs(over_s) > _NEARLY_S and warm_up_s != lesson.opening.warm_up_seconds:
            lesson = _warmed(lesson, warm_up_s)
            over_s = length_s(lesson) - seconds
    return (lesson, over_s) if abs(over_s) <= TOLERANCE_S else (None, over_s)


def _warmed(lesson: Lesson, seconds: int) -> Lesson:
    return replace(lesson, opening=replace(lesson.opening, warm_up_seconds=seconds))


def _counted(rounds: int) -> str:
    return "one round" if rounds == 1 else f"{rounds} rounds"

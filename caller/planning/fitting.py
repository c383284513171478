"""Fit a lesson to its minutes: its parts, how many rounds, how long to warm up, how long each bout."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import floor
from typing import Final

from caller.errors import UserError
from caller.lesson import MOST_ROUNDS, Lesson
from caller.moves.dose import GUIDELINE_SHARE, WARM_UP_S
from caller.planning.dosage import lesson_dose
from caller.planning.lengths import total_s
from caller.planning.pace import CLOCKS_A_MINUTE, LONGEST_ROUND_S, Pace, pace_of
from caller.timeline import CallLayout

TOLERANCE_S: Final = 15.0
"""A lesson fits its period if it is at most so much longer or shorter."""

_NEARLY_S: Final = 8.0  # well inside the tolerance
_ROUND_S: Final = 75.0  # a first guess; the real words decide
_TRIES: Final = 8
_NEARLY_ALL: Final = 0.7  # of a round: so much too long a warm-up has room for one more

_USUAL_THINK_S: Final = 28  # deciding, and a moderate bout
_THINK_S: Final = (
    (16, 31),
    (18, 31),
)  # under eight years and from eight: the least that a bout may be, and 3 s
_EIGHT_Y: Final = 8.0

_LONGEST_WARM_UP_S: Final = 240.0
_WARM_UP_SHARES: Final = (0.1, 0.17, 0.25)
_SHORTEST_WARM_UP_S: Final = 30


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


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonShape:
    """Which parts a lesson has, and whether it must have as many rounds as its minutes ask for."""

    example: bool
    long_bouts: bool = False  # as long as the age allows, because the words are
    brief: bool = False  # no catch-up, and fewer breaths
    enough_rounds: bool = True


SHAPES: Final = (
    LessonShape(example=True),
    LessonShape(example=False),
    LessonShape(example=False, long_bouts=True),
    LessonShape(example=False, enough_rounds=False),
    LessonShape(example=False, brief=True, enough_rounds=False),
)
"""A short period leaves the example out, and has fewer rounds only when nothing else helps.

Where an echo or a second language makes the words long, longer bouts keep half of the lesson movement.
"""
LONGEST_THINK_S: Final = 33  # deciding, and the longest bout that any move may be


def limits(shape: LessonShape, *, minutes: int, age_y: float) -> Limits:
    """Return between what the length of such a lesson may be changed."""
    least, usual, most = (min(share * 60.0 * minutes, _LONGEST_WARM_UP_S) for share in _WARM_UP_SHARES)
    least = min(least, WARM_UP_S)
    if not shape.enough_rounds:
        least, most = 0.5 * least, min(1.5 * most, _LONGEST_WARM_UP_S)
    shortest = min(_SHORTEST_WARM_UP_S, round(usual))
    think_s, usual_think_s = _THINK_S[age_y >= _EIGHT_Y], _USUAL_THINK_S
    if shape.long_bouts:
        think_s, usual_think_s = (LONGEST_THINK_S - 3, LONGEST_THINK_S), LONGEST_THINK_S
    return Limits(
        think_s=think_s,
        usual_think_s=usual_think_s,
        warm_up_s=(max(shortest, round(least)), max(shortest, round(usual)), max(shortest, round(most))),
        fewest_rounds=max(2, int(CLOCKS_A_MINUTE * minutes)) if shape.enough_rounds else 1,
        most_rounds=MOST_ROUNDS,
    )


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
        layouts = perform(lesson)
        tried[rounds] = total_s(layouts)
        fitted, over_s = _adjusted(lesson, length_s, seconds, layouts, limits)
        if fitted is not None:
            return _with_more_clocks(fitted, make, perform, seconds, limits)
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


def _with_more_clocks(
    fitted: Lesson,
    make: Callable[[int], Lesson],
    perform: Callable[[Lesson], tuple[CallLayout, ...]],
    seconds: float,
    limits: Limits,
) -> Lesson:
    """Return a lesson that fits with one clock more in place of a warm-up that goes on and on, if half moves.

    More than one is never wanted: a warm-up is at most half as long again as usual.
    """
    count, usual_s = len(fitted.rounds) + 1, limits.warm_up_s[1]
    round_s = pace_of(perform(fitted)).round_s
    if fitted.opening.warm_up_seconds < usual_s + _NEARLY_ALL * round_s or count > limits.most_rounds:
        return fitted
    lesson = _warmed(make(count), usual_s)
    layouts = perform(lesson)
    more, _ = _adjusted(lesson, lambda each: total_s(perform(each)), seconds, layouts, limits)
    if more is None or lesson_dose(perform(more), age_y=more.age).mvpa_share < GUIDELINE_SHARE:
        return fitted
    return more


def _adjusted(
    lesson: Lesson,
    length_s: Callable[[Lesson], float],
    seconds: float,
    layouts: tuple[CallLayout, ...],
    limits: Limits,
) -> tuple[Lesson | None, float]:
    """Return the lesson made as long as the period, or None and by how much it stays too long.

    `layouts` are its calls as it is, before anything is changed.
    """
    think_s, long_s = limits.usual_think_s, total_s(layouts)
    most_think_s = _longest_think_s(pace_of(layouts), think_s, limits)
    if most_think_s < think_s:
        think_s = most_think_s
        lesson = replace(lesson, think_seconds=think_s)
        long_s = length_s(lesson)
    least_s, usual_s, most_s = limits.warm_up_s
    warm_up_s = min(max(round(usual_s + seconds - long_s), least_s), most_s)
    lesson = _warmed(lesson, warm_up_s)
    over_s = length_s(lesson) - seconds
    for _ in range(_TRIES):
        if abs(over_s) <= _NEARLY_S:
            return lesson, over_s
        step_s = round(-over_s / len(lesson.rounds)) or (1 if over_s < 0 else -1)
        wanted_s = min(max(think_s + step_s, limits.think_s[0]), most_think_s)
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


def _longest_think_s(pace: Pace, think_s: int, limits: Limits) -> int:
    """Return how long to decide and move at most, so that a round that goes at this pace becomes short.

    Where words alone take half of a short round, movement comes first: the bouts may be as long as can be.
    """
    if pace.standing_s > (1.0 - GUIDELINE_SHARE) * LONGEST_ROUND_S:
        return max(think_s, limits.think_s[1])
    fits_s = think_s + floor(LONGEST_ROUND_S - pace.round_s)
    return min(max(fits_s, limits.think_s[0]), limits.think_s[1])


def _warmed(lesson: Lesson, seconds: int) -> Lesson:
    return replace(lesson, opening=replace(lesson.opening, warm_up_seconds=seconds))


def _counted(rounds: int) -> str:
    return "one round" if rounds == 1 else f"{rounds} rounds"

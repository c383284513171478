"""How brisk a lesson is: how long its rounds are, how much of them is standing, and what makes them long."""

from __future__ import annotations

import statistics
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Final

from caller.deciding.circumstances import conditions_of
from caller.hall.adapt import DEFAULT_DELIVERY
from caller.lesson import Lesson
from caller.moves import catalogue
from caller.moves.pairs import Conditions
from caller.moves.pick_moves import suits
from caller.moves.uses import DEFAULT_KIND, lively
from caller.planning.dosage import activity_of, lesson_dose, spells
from caller.planning.lengths import total_s
from caller.questions import question_kind
from caller.runsheet import RunSheet
from caller.timeline import CallLayout, seconds_of

LONGEST_ROUND_S: Final = 75.0
MOST_STANDING_S: Final = 33.0
LONGEST_STRETCH_S: Final = 25.0
"""The median round, the standing in the median round, and the longest time without movement between bouts:
more than half of such rounds is movement."""

CLOCKS_A_MINUTE: Final = 0.55
"""Eleven clocks in twenty minutes, eight in a quarter of an hour."""

_NEARLY_S: Final = 0.5  # lengths are told in whole seconds
_SHORT_MIN: Final = 10
_USUAL_SPACE_M: Final = Lesson().space_m
_FEW_SHARE: Final = 0.5  # of the lively moves: with fewer it is they that are wanting, not the time
_SPELLED_OUT: Final = 2  # choices; a third takes longer to hear


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How a lesson's clocks follow one another.

    Attributes
    ----------
    round_s, standing_s
        The median round, and the median of how much of a round nobody moves.
    stretch_s
        The longest time without movement between the first bout and the last.
    """

    clocks: int
    round_s: float
    standing_s: float
    stretch_s: float


def pace_of(layouts: Sequence[CallLayout], *, first_counts: bool = True) -> Pace:
    """Return how brisk a lesson is.

    Parameters
    ----------
    first_counts
        Whether the first clock, on which all is explained, counts for the medians; in a short lesson it would
        weigh too much.
    """
    whole: dict[int, float] = defaultdict(float)
    standing: dict[int, float] = defaultdict(float)
    stretch = longest = 0.0
    bouts = [place for place, layout in enumerate(layouts) if layout.call.kind == "move"]
    for place, layout in enumerate(layouts):
        length = seconds_of(layout.length)
        moved = sum(spell.seconds for spell in spells([layout]) if spell.move is not None)
        if layout.call.round is not None:
            whole[layout.call.round] += length
            standing[layout.call.round] += length - moved
        if bouts and bouts[0] < place <= bouts[-1]:
            stretch += length - moved if place < bouts[-1] else 0.0
            longest = max(longest, stretch)
            stretch = 0.0 if moved else stretch
    usual = list(whole)[0 if first_counts or len(whole) < 2 else 1 :]
    return Pace(
        clocks=len(whole),
        round_s=statistics.median(whole[number] for number in usual) if usual else 0.0,
        standing_s=statistics.median(standing[number] for number in usual) if usual else 0.0,
        stretch_s=longest,
    )


def short_of_pace(lesson: Lesson, layouts: tuple[CallLayout, ...]) -> str:
    """Return what of the goals a lesson misses, as part of a sentence; empty where it misses none."""
    pace = pace_of(layouts, first_counts=(lesson.minutes or 0) >= _SHORT_MIN)
    told = [
        f"{what} {has:.0f} s (goal: {most:.0f})"
        for what, has, most in (
            ("a clock takes", pace.round_s, LONGEST_ROUND_S),
            ("standing in it", pace.standing_s, MOST_STANDING_S),
            ("standing at a stretch", pace.stretch_s, LONGEST_STRETCH_S),
        )
        if has > most + _NEARLY_S
    ]
    wanted = int(CLOCKS_A_MINUTE * total_s(layouts) / 60)
    if (lesson.minutes or 0) >= _SHORT_MIN and pace.clocks < wanted:
        told.append(f"{pace.clocks} clocks (goal: {wanted})")
    return ", ".join(told)


def why_slow(lesson: Lesson, run_sheet: RunSheet, layouts: Sequence[CallLayout]) -> str:
    """Return what makes the clocks of a lesson long, in sentences.

    Where nothing that was asked for does, it is the part of a clock in which the class stands longest.
    """
    return slowed_by(lesson, run_sheet) or _dearest_part(lesson, layouts)


def slowed_by(lesson: Lesson, run_sheet: RunSheet) -> str:
    """Return what was asked for that takes more words or time than usual, in sentences; often nothing."""
    causes = []
    if lesson.voice.rate_wpm and lesson.voice.rate_wpm < DEFAULT_DELIVERY.rate_wpm:
        causes.append("The voice is set slow.")
    elif run_sheet.voice.rate_wpm < DEFAULT_DELIVERY.rate_wpm:
        causes.append("This hall's echo asks for slow words and long pauses.")
    if lesson.second_language:
        causes.append("Two languages take longer than one.")
    if lesson.say_twice:
        causes.append("The choices are said twice.")
    if lesson.count_by_ear:
        causes.append("Counting claps takes its time.")
    if max((each.choices or lesson.choices for each in lesson.rounds), default=0) > _SPELLED_OUT:
        causes.append("Three choices take longer to hear than two.")
    if any(question_kind(each.kind).skill for each in lesson.rounds):
        causes.append("Reckoning takes more words than reading a clock.")
    if any(each.say or each.reason for each in lesson.rounds):
        causes.append("The lesson has words of its own.")
    if lesson.catch_up.kind != DEFAULT_KIND:
        causes.append("No bout of all follows the answer.")
    return " ".join(causes)


def why_still(lesson: Lesson, run_sheet: RunSheet, *, avoid: Collection[str] = ()) -> str:
    """Return what that was asked for keeps half of a lesson from being movement, in sentences; often nothing.

    Parameters
    ----------
    avoid
        Moves that the class does not do, as slugs.
    """
    if lesson.seated:
        return "Seated moves are too light to count."
    causes = []
    here = conditions_of(lesson)
    left = _lively_moves(here, lesson.age)
    usual = _lively_moves(replace(here, space_radius_m=_USUAL_SPACE_M / 2), lesson.age)
    if len(left) < _FEW_SHARE * len(usual):
        causes.append(f"{lesson.space_m:g} m of floor for each child leave few lively moves.")
    if len(left.difference(avoid)) < _FEW_SHARE * len(left):
        causes.append(f"This class avoids {len(avoid)} of the moves.")
    if lesson.wet:
        causes.append("The damp floor leaves no jumps.")
    return " ".join((*causes, slowed_by(lesson, run_sheet))).strip()


def _lively_moves(conditions: Conditions, age_y: float) -> frozenset[str]:
    moves = catalogue().values()
    return frozenset(each.slug for each in moves if lively(each, age_y) and suits(each.slug, conditions))


def _dearest_part(lesson: Lesson, layouts: Sequence[CallLayout]) -> str:
    rounds = [layout for layout in layouts if layout.call.round is not None]
    if not rounds:
        return ""
    dose = lesson_dose(rounds, age_y=lesson.age)
    costs_s = activity_of(rounds, dose, len(lesson.rounds), age_y=lesson.age).costs_s
    part, seconds = next(iter(costs_s.items()))
    return f"Most of it goes to {part} ({seconds / len(lesson.rounds):.0f} s a clock)."

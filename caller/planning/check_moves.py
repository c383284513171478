"""Checks of the moves: safe, fair, enough of them, with room for every child, and sides without a pattern."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations, pairwise
from typing import Final

from caller.deciding.circumstances import conditions_of
from caller.deciding.sides import fault_of
from caller.moves import find
from caller.moves.dose import CALM_S, GUIDELINE_SHARE, WARM_UP_S
from caller.moves.pairs import Objection, objections
from caller.moves.uses import LONGEST_BOUT_S, MOST_LANDINGS
from caller.planning.dosage import activity_of
from caller.planning.pace import short_of_pace, why_slow, why_still
from caller.planning.staging import Finding, Level, Rehearsal
from caller.runsheet import RoundFacts

_ONLY_IN_PAIRS = frozenset({"same-move", "alike", "alike-seated"})


def objected(rehearsal: Rehearsal, codes: Collection[str]) -> Iterator[tuple[str, Objection]]:
    """Yield the objections with these codes, each once in its place ("round 3")."""
    lesson = rehearsal.lesson
    conditions = conditions_of(lesson)
    for slug in lesson.opening.warm_up:
        alone = objections(slug, slug, conditions=conditions)
        yield from _once("warm-up", (each for each in alone if each.code not in _ONLY_IN_PAIRS), codes)
    named: list[tuple[str, tuple[str, ...], tuple[str, ...]]] = []
    if not lesson.practice.skip:
        named.append(("practice", lesson.practice.moves, ()))
    previous: tuple[str, ...] = ()
    for each, facts in zip(lesson.rounds, rehearsal.run_sheet.rounds, strict=True):
        named.append((f"round {facts.round}", each.moves, previous))
        previous = facts.moves or previous
    for where, moves, before in named:
        found = [
            objection
            for a, b in combinations(moves, 2)
            for objection in objections(a, b, conditions=conditions, previous=before)
        ]
        yield from _once(where, found, codes)


def _once(
    where: str, found: Collection[Objection] | Iterator[Objection], codes: Collection[str]
) -> Iterator[tuple[str, Objection]]:
    for objection in dict.fromkeys(found):
        if objection.code in codes:
            yield where, objection


# What can hurt is told elsewhere, by the checks of safety and space.
_FAIRNESS: Final = frozenset(
    {"same-move", "avoided", "chair", "impact", "noise", "effort", "muscle-again", "alike", "alike-seated"}
)


def check_moves(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield advice for each reason against moves that the script names."""
    for where, objection in objected(rehearsal, _FAIRNESS):
        yield Finding(level="advice", check="moves", where=where, text=objection.sentence)


LONGEST_BURST_S: Final = 90.0
"""Bouts that follow one another without a break: our own judgement, several of the longest bout."""


def check_activity(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield advice for a lesson that stands too much or is slow, for long bouts, and for many landings."""
    yield from _share(rehearsal)
    if short := short_of_pace(rehearsal.lesson, rehearsal.layouts):
        text = f"{short}. {why_slow(rehearsal.lesson, rehearsal.run_sheet, rehearsal.layouts)}"
        yield Finding(level="advice", check="activity", text=text)
    decided, dose = rehearsal.decided, rehearsal.harder
    for each in decided.warm_up:
        if each.seconds > LONGEST_BOUT_S:
            name = each.move.name().capitalize()
            text = f"{name} for {each.seconds:.0f} s is long. Name more moves, or give it fewer seconds."
            yield Finding(level="advice", check="activity", where="warm-up", text=text)
            break
    if dose.longest_effort_s > LONGEST_BURST_S:
        text = f"{dose.longest_effort_s:.0f} s of effort without a rest are long for children."
        yield Finding(level="advice", check="activity", text=text)
    if dose.jumps > MOST_LANDINGS:
        text = (
            f"a child who always has the jumping move lands {dose.jumps} times. "
            f"Exchange some jumps; {MOST_LANDINGS} landings a lesson are plenty."
        )
        yield Finding(level="advice", check="activity", text=text)


def _share(rehearsal: Rehearsal) -> Iterator[Finding]:
    lesson, dose = rehearsal.lesson, rehearsal.gentler
    if dose.mvpa_share >= GUIDELINE_SHARE:
        return
    told = f"{dose.mvpa_share:.0%} of the lesson calls for moderate or vigorous movement"
    if lesson.seated:
        text = f"{told}: seated moves are too light to count. That is how it is for a class on chairs."
    else:
        found = activity_of(rehearsal.layouts, dose, len(lesson.rounds), age_y=lesson.age)
        dearest, seconds = next(iter(found.costs_s.items()))
        why = f" {why_still(lesson, rehearsal.run_sheet)}".rstrip()
        text = (
            f"{told}, and half is the goal. Most time goes to {dearest} ({seconds:.0f} s).{why} "
            "More rounds, fewer own words or a longer warm-up would help."
        )
    yield Finding(level="advice", check="activity", text=text)


_OF_A_SHORT_LESSON: Final = (0.1, 0.05)  # of its length, warm-up and calm, where that is less than usual
FLOOR_CODES: Final = frozenset({"slippery", "floor"})


def check_safety(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield errors for what can hurt, and advice for what handbooks ask for. Local rules come first."""
    rounds = rehearsal.run_sheet.rounds
    jumping = [facts for facts in rounds if _jumps(facts)]
    dose, lesson = rehearsal.harder, rehearsal.lesson
    warm_up_s, calm_s = (  # whole seconds, as they are told
        round(min(usual_s, share * rehearsal.length_s))
        for usual_s, share in zip((WARM_UP_S, CALM_S), _OF_A_SHORT_LESSON, strict=True)
    )
    if jumping and not lesson.opening.warm_up_seconds:
        yield _finding("error", "warm-up", "there is none before the jumps. Write warm_up_seconds = 120.")
    elif not lesson.seated and round(dose.warm_up_s) < warm_up_s:
        text = f"{dose.warm_up_s:.0f} s are short. Give it {warm_up_s} s or more."
        yield _finding("advice", "warm-up", text)
    if jumping and jumping[-1] is rounds[-1]:
        yield _finding(
            "error",
            f"round {rounds[-1].round}",
            "the lesson ends with jumps. Give the last round calm moves, such as sky-reach and forward-fold.",
        )
    elif round(dose.calm_s) < calm_s:
        text = f"{dose.calm_s:.0f} s of calm are short. More breaths, or a calm last round, would help."
        yield _finding("advice", "close", text)
    if not lesson.opening.safety:
        yield _finding("advice", "opening", "the safety reminder is off. Say it yourself.")
    for before, after in pairwise(rounds):
        if _jumps(before) and _jumps(after):
            text = "jumps again, right after the jumps of the round before. Put a gentler pair between."
            yield _finding("advice", f"round {after.round}", text)
    for where, objection in objected(rehearsal, FLOOR_CODES):
        yield _finding("error", where, f"{objection.sentence} Choose another move.")


def _jumps(facts: RoundFacts) -> bool:
    return any(find(move).high_impact for move in facts.moves)


def _finding(level: Level, where: str, text: str) -> Finding:
    return Finding(level=level, check="safety", where=where, text=text)


def check_space(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield an error for moves wider than a child's floor, advice for a hall too small for the class."""
    for where, objection in objected(rehearsal, {"space"}):
        yield Finding(
            level="error",
            check="space",
            where=where,
            text=f"{objection.sentence} Choose another move, or give more space_m.",
        )
    hall, space_m = rehearsal.stage.hall, rehearsal.lesson.space_m
    if hall is None or rehearsal.lesson.seated:
        return
    floor_m2 = (hall.length_m - hall.screen.first_row_m) * hall.width_m
    needed_m2 = hall.people * space_m**2
    if needed_m2 > floor_m2:
        room_m = (floor_m2 / hall.people) ** 0.5
        text = (
            f"{hall.people} people with {space_m:g} m each need {needed_m2:.0f} m², and {hall.name} has "
            f"{floor_m2:.0f} m². Write space_m = {room_m - 0.05:.1f}, or let the class take turns."
        )
        yield Finding(level="advice", check="space", text=text)


def check_sides(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield advice where a child could gain by counting sides."""
    fault = fault_of(tuple(facts.answer for facts in rehearsal.run_sheet.rounds if facts.moves))
    if fault:
        mend = "Take answer out of some rounds, or change the seed."
        yield Finding(level="advice", check="sides", text=f"{fault} {mend}")

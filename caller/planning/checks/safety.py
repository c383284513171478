"""Safety: warm-up before, calm after, no jumping twice running, a floor that allows the moves."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from caller.moves.catalogue import find
from caller.moves.dose import CALM_S, WARM_UP_S
from caller.planning.checks.finding import Finding, Level
from caller.planning.checks.own_moves import objected
from caller.planning.rehearsal import Rehearsal
from caller.runsheet.model import RoundFacts

_OF_A_SHORT_LESSON: Final = (0.1, 0.05)  # of its length, warm-up and calm, where that is less than usual
FLOOR_CODES: Final = frozenset({"slippery", "floor"})


def check(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield errors for what can hurt, and advice for what handbooks ask for. Local rules come first."""
    rounds = rehearsal.run_sheet.rounds
    jumping = [facts for facts in rounds if _jumps(facts)]
    dose, lesson = rehearsal.harder, rehearsal.lesson
    warm_up_s, calm_s = (
        min(usual_s, share * rehearsal.length_s)
        for usual_s, share in zip((WARM_UP_S, CALM_S), _OF_A_SHORT_LESSON, strict=True)
    )
    if jumping and not lesson.opening.warm_up_seconds:
        yield _finding("error", "warm-up", "there is none before the jumps. Write warm_up_seconds = 120.")
    elif not lesson.seated and dose.warm_up_s < warm_up_s:
        text = f"{dose.warm_up_s:.0f} s are short. Give it {warm_up_s:.0f} s or more."
        yield _finding("advice", "warm-up", text)
    if jumping and jumping[-1] is rounds[-1]:
        yield _finding(
            "error",
            f"round {rounds[-1].round}",
            "the lesson ends with jumps. Give the last round calm moves, such as sky-reach and forward-fold.",
        )
    elif dose.calm_s < calm_s:
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

"""What speaks against the moves that a script itself names; shared by the checks that tell it."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations

from caller.deciding.circumstances import conditions_of
from caller.moves.pairs import Objection, objections
from caller.planning.rehearsal import Rehearsal

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

"""Moves: whether the script's own are fair pairs. A teacher's choice is warned about, never changed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from caller.planning.checks.finding import Finding
from caller.planning.checks.own_moves import objected
from caller.planning.rehearsal import Rehearsal

# What can hurt is told elsewhere, by the checks of safety and space.
_FAIRNESS: Final = frozenset(
    {"same-move", "avoided", "chair", "impact", "noise", "effort", "muscle-again", "alike", "alike-seated"}
)


def check(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield advice for each reason against moves that the script names."""
    for where, objection in objected(rehearsal, _FAIRNESS):
        yield Finding(level="advice", check="moves", where=where, text=objection.sentence)

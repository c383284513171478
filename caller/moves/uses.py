"""What a move is good for, by age: the one meaning of gentle, calm and lively.

They are facts of a move. The effort is the compendium's for the age; where the lines are drawn is our own
choice.
"""

from __future__ import annotations

from typing import Final

from caller.moves.catalogue import Move
from caller.moves.effort import CUT_3

_GENTLE_KINDS: Final = frozenset({"warm-up", "stretch", "seated"})
_CALM_KINDS: Final = frozenset({"balance", "stretch"})
CALM_SEATED_MET: Final = 2.0
"""Seated moves up to this effort count as calm; those above are what a seated class has of lively ones."""


def gentle(move: Move) -> bool:
    """Tell whether a move may come before the work: it warms up, and asks nothing of a cold body."""
    return move.kind in _GENTLE_KINDS


def calm(move: Move, age_y: float) -> bool:
    """Tell whether a move may end a lesson: it is held or stretched, or sitting and easy."""
    if move.kind == "seated":
        return move.effort.met(age_y) <= CALM_SEATED_MET
    return move.kind in _CALM_KINDS


def lively(move: Move, age_y: float) -> bool:
    """Tell whether a move is work: moderate or more, or sitting and more than calm."""
    if move.kind == "seated":
        return not calm(move, age_y)
    return move.effort.met(age_y) >= CUT_3.moderate_met

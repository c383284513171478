"""Which moves warm a class up."""

from __future__ import annotations

from random import Random
from typing import Final

from caller.errors import UserError
from caller.moves.catalogue import Move, catalogue
from caller.moves.effort import CUT_3
from caller.moves.pairs import Conditions, objections

_ONLY_IN_PAIRS: Final = frozenset({"same-move", "alike", "alike-seated"})
_GENTLE_FIRST: Final = 1
_BRISK: Final = 3  # the rest of the warm-up, as brisk as there is, so that it counts as activity


def warm_up_moves(random: Random, conditions: Conditions, *, age_y: float) -> tuple[str, ...]:
    """Return moves to warm up with: a gentle one, then brisk ones, the effort rising.

    Raises
    ------
    UserError
        If no move fits.
    """
    kind = "seated" if conditions.chairs else "warm-up"
    suitable = [move for move in catalogue().values() if move.kind == kind and _suits(move.slug, conditions)]
    if not suitable:
        raise UserError("No warm-up move fits this hall and class; allow more space or fewer moves to avoid.")
    random.shuffle(suitable)  # among moves of the same effort, chance decides

    def met(move: Move) -> float:
        return move.effort.met(age_y)

    suitable.sort(key=met)
    chosen = [*suitable[:_GENTLE_FIRST], *suitable[_GENTLE_FIRST:][-_BRISK:]]
    return tuple(move.slug for move in chosen)


def active_share(moves: tuple[str, ...], *, age_y: float) -> float:
    """Return which share of a warm-up with these moves, each as long as the others, counts as active."""
    active = [catalogue()[slug].effort.met(age_y) >= CUT_3.moderate_met for slug in moves]
    return sum(active) / len(active)


def _suits(slug: str, conditions: Conditions) -> bool:
    return all(each.code in _ONLY_IN_PAIRS for each in objections(slug, slug, conditions=conditions))

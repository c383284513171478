"""Which moves a lesson uses: fair pairs, as brisk as is safe, and calm ones at the end."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from random import Random
from typing import Final

from caller.deciding.circumstances import LessonInHand
from caller.deciding.model import WarmUpMove
from caller.errors import UserError
from caller.moves.catalogue import Move, catalogue, find
from caller.moves.pairs import Conditions, choose_pair, fair_pairs, objections
from caller.moves.uses import calm as is_calm
from caller.moves.uses import lively

_AGE_Y: Final = 7.0  # a lesson does not say how old its class is
_ONLY_IN_PAIRS: Final = frozenset({"same-move", "alike", "alike-seated"})
_WARM_UP_MOVES: Final = 3


def pick_moves(
    hand: LessonInHand, name: int | str, count: int, previous: Sequence[Move], *, calm: bool
) -> tuple[Move, ...]:
    """Return moves for two or three choices, from left to right.

    Raises
    ------
    UserError
        If this hall and class leave no such moves.
    """
    random = hand.streams.of("moves", name)
    hall = hand.given.conditions
    wished = _only(
        hall, (lambda move: is_calm(move, _AGE_Y)) if calm else (lambda move: lively(move, _AGE_Y))
    )
    before = tuple(move.slug for move in previous)
    # The rest after the round before gives way first, then the wish; the hall's limits never do.
    for conditions, rested in ((wished, before), (wished, ()), (hall, ())):
        moves = _fair(random, count, conditions, rested)
        if moves:
            return tuple(map(find, moves))
    raise UserError(
        f"No {'two' if count == 2 else 'three'} moves fit this hall and class; "
        "allow more space, or name the moves in the lesson."
    )


def warm_up_of(hand: LessonInHand) -> tuple[WarmUpMove, ...]:
    """Return the warm-up: the script's own moves, else some that suit, the gentlest first."""
    opening = hand.lesson.opening
    if not opening.warm_up_seconds:
        return ()
    moves = tuple(map(find, opening.warm_up)) or _gentlest(hand)
    if not moves:
        return ()  # nothing gentle fits this hall and this class: the teacher warms them up
    each_s = round(opening.warm_up_seconds / len(moves), 2)
    return tuple(WarmUpMove(move=move, seconds=each_s) for move in moves)


def _gentlest(hand: LessonInHand) -> tuple[Move, ...]:
    kind = "seated" if hand.lesson.seated else "warm-up"
    suitable = [
        move for move in catalogue().values() if move.kind == kind and suits(move.slug, hand.given.conditions)
    ]
    chosen = hand.streams.of("warm-up").sample(suitable, min(_WARM_UP_MOVES, len(suitable)))
    return tuple(sorted(chosen, key=lambda move: (move.effort.met_6_9, move.slug)))


def suits(slug: str, conditions: Conditions) -> bool:
    """Tell whether a move fits a hall and class, whatever it is paired with."""
    return all(each.code in _ONLY_IN_PAIRS for each in objections(slug, slug, conditions=conditions))


def _only(conditions: Conditions, wanted: Callable[[Move], bool]) -> Conditions:
    others = frozenset(move.slug for move in catalogue().values() if not wanted(move))
    return replace(conditions, avoid=conditions.avoid | others)


def _fair(random: Random, count: int, conditions: Conditions, previous: Sequence[str]) -> tuple[str, ...]:
    """Return two or three moves of which any two make a fair pair; none if there are none."""
    if count == 2:
        try:
            return choose_pair(random, conditions, previous)
        except UserError:
            return ()
    ordered = fair_pairs(conditions, previous)
    pairs = {frozenset(pair) for pair in ordered}
    slugs = sorted({slug for pair in pairs for slug in pair})
    for pair in random.sample(ordered, len(ordered)):
        third = [slug for slug in slugs if all({slug, one} in pairs for one in pair)]
        if third:
            moves = [*pair, random.choice(third)]
            random.shuffle(moves)
            return tuple(moves)
    return ()

"""Which moves a planned lesson uses: fair pairs, as brisk as is safe, with jumps in few rounds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from random import Random
from typing import Final, TypeAlias

from caller.errors import UserError
from caller.moves.catalogue import HIGH_IMPACT, Move, catalogue
from caller.moves.pairs import Conditions, fair_pairs
from caller.moves.uses import calm as is_calm
from caller.moves.uses import lively as is_lively

_JUMPING_ROUNDS: Final = (2, 3)  # at most so many in a lesson, under eight years and from eight; own choice
_EIGHT_Y: Final = 8.0
_TRIES: Final = 8

Pair: TypeAlias = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class MovePicker:
    """Picks moves for one class, each decision with its own chance."""

    conditions: Conditions
    age_y: float
    chance: str  # names the streams of random numbers

    def for_rounds(self, count: int) -> list[Pair]:
        """Return a pair for each of `count` rounds in a row; jumps come in every third round at first.

        Of several sequences drawn the one is taken that gives up brisk moves least often, since a round gives
        them up rather than the rule of succession. What the hall and the class allow never gives way.

        Raises
        ------
        UserError
            If no two moves fit the hall and the class.
        """
        drawn = (self._sequence(count, Random(f"{self.chance}/moves/{number}")) for number in range(_TRIES))
        best = next(drawn)
        for each in drawn:
            if best[0] == 0:
                break
            best = min(best, each, key=lambda found: found[0])
        return best[1]

    def for_practice(self) -> Pair:
        """Return a pair without jumps; the errors are those of `for_rounds`."""
        return self._lively(Random(f"{self.chance}/moves/practice"), (), jumps=False)[1]

    def calm(self, previous: Sequence[str] = ()) -> Pair:
        """Return a pair to end on: stretches, else what is gentle; the errors are those of `for_rounds`."""
        stretches = _slugs(move for move in catalogue().values() if move.kind == "stretch")
        gentle = _slugs(move for move in catalogue().values() if is_calm(move, self.age_y))
        planted = replace(
            self.conditions, maximum_impact=min(self.conditions.maximum_impact, HIGH_IMPACT - 1)
        )
        before = tuple(previous)
        everything = _slugs(catalogue().values())
        wishes = [(stretches, before), (stretches, ()), (gentle, before), (gentle, ()), (everything, ())]
        return _first(Random(f"{self.chance}/moves/calm"), planted, wishes)[1]

    def _sequence(self, count: int, random: Random) -> tuple[int, list[Pair]]:
        """Return pairs for so many rounds, and in how many a wish had to give way."""
        jumping = set(range(1, count, 3)[: _JUMPING_ROUNDS[self.age_y >= _EIGHT_Y]])
        losses, pairs = 0, list[Pair]()
        for index in range(count):
            wish, pair = self._lively(random, pairs[-1] if pairs else (), jumps=index in jumping)
            losses += wish > 0
            pairs.append(pair)
        return losses, pairs

    def _lively(self, random: Random, previous: Sequence[str], *, jumps: bool) -> tuple[int, Pair]:
        usable = [move for move in catalogue().values() if jumps or not move.jumps]
        working = _slugs(move for move in usable if not is_calm(move, self.age_y))
        lively = _slugs(move for move in usable if is_lively(move, self.age_y))
        before = tuple(previous)
        wishes = [
            *((lively, before), (working, before), (lively, ()), (working, ())),
            *((_slugs(usable), before), (_slugs(usable), ())),
        ]
        return _first(random, self.conditions, wishes)


def _first(
    random: Random, conditions: Conditions, wishes: Sequence[tuple[frozenset[str], tuple[str, ...]]]
) -> tuple[int, Pair]:
    """Return which wish is the first that can be met, and a pair that meets it, shuffled."""
    for index, (among, previous) in enumerate(wishes):
        pairs = _pairs(conditions, previous, among)
        if pairs:
            first, second = random.sample(random.choice(pairs), 2)
            return index, (first, second)
    raise UserError("No two moves fit this hall and class; allow more space or fewer moves to avoid.")


@lru_cache(maxsize=2048)
def _pairs(conditions: Conditions, previous: tuple[str, ...], among: frozenset[str]) -> tuple[Pair, ...]:
    """Return the fair pairs; a planner asks for the same ones again and again."""
    return fair_pairs(conditions, previous, among=among)


def _slugs(moves: Iterable[Move]) -> frozenset[str]:
    return frozenset(move.slug for move in moves)

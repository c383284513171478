"""What all parts of one run sheet share: the lesson, how it is spoken, and how moves are picked."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random

from caller.errors import UserError
from caller.lesson.model import Lesson
from caller.moves.catalogue import Move, catalogue
from caller.moves.effort import CUT_3
from caller.moves.pairs import Conditions, choose_pair, fair_pairs, objections
from caller.runsheet.model import Board
from caller.runsheet.streams import Streams
from caller.runsheet.talk import Talk

_CALM_KINDS = ("balance", "stretch")
_CALM_SEATED_MET = 2.0  # seated moves up to this effort count as calm (own choice)
_AGE_Y = 7.0
_ONLY_IN_PAIRS = frozenset({"same-move", "alike", "alike-seated"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """The shared facts of one run sheet."""

    lesson: Lesson
    talk: Talk
    streams: Streams
    conditions: Conditions
    confused: Mapping[str, float]
    minimum_difference_deg: float

    @property
    def seated(self) -> str:
        """The ending of phrases that differ for a class on chairs."""
        return "-seated" if self.lesson.seated else ""

    def resting(self) -> Board:
        """Return the board of a pause: a figure that breathes slowly."""
        move = "slow-breaths"
        if self.lesson.seated:
            move = catalogue()[move].seated
        return Board(layout="figure", move=move)

    def suits(self, slug: str) -> bool:
        """Tell whether a move fits this hall and class, whatever it is paired with."""
        return all(
            objection.code in _ONLY_IN_PAIRS
            for objection in objections(slug, slug, conditions=self.conditions)
        )

    def pick_moves(
        self, name: int | str, count: int, previous: Sequence[str], *, calm: bool
    ) -> tuple[str, ...]:
        """Return moves for two or three choices, from left to right.

        Raises
        ------
        UserError
            If this hall and class leave no such moves.
        """
        random = self.streams.of("moves", name)
        wished = self._calm() if calm else self._lively()
        # The rest after the round before gives way first, then the wish; the hall's limits never do.
        for conditions, before in ((wished, previous), (wished, ()), (self.conditions, ())):
            moves = _pick(random, count, conditions, before)
            if moves:
                return moves
        raise UserError(
            f"No {'two' if count == 2 else 'three'} moves fit this hall and class; "
            "allow more space, or name the moves in the lesson."
        )

    def _calm(self) -> Conditions:
        return self._only(
            lambda move: (
                move.kind in _CALM_KINDS
                or (move.kind == "seated" and move.effort.met(_AGE_Y) <= _CALM_SEATED_MET)
            )
        )

    def _lively(self) -> Conditions:
        """Return conditions that leave moves at which half the lesson may count as active."""
        if self.lesson.seated:
            return self._only(lambda move: move.effort.met(_AGE_Y) > _CALM_SEATED_MET)
        return self._only(lambda move: move.effort.met(_AGE_Y) >= CUT_3.moderate_met)

    def _only(self, wanted: Callable[[Move], bool]) -> Conditions:
        others = frozenset(move.slug for move in catalogue().values() if not wanted(move))
        return replace(self.conditions, avoid=self.conditions.avoid | others)


def _pick(random: Random, count: int, conditions: Conditions, previous: Sequence[str]) -> tuple[str, ...]:
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

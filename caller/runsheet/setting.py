"""What all parts of one run sheet share: the lesson, how it is spoken, and how moves are picked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from caller.errors import UserError
from caller.lesson.model import Lesson
from caller.moves.catalogue import catalogue
from caller.moves.pairs import Conditions, choose_pair, fair_pairs, objections
from caller.runsheet.model import Board
from caller.runsheet.streams import Streams
from caller.runsheet.talk import Talk

_CALM_KINDS = ("balance", "stretch")
_CALM_MET = 2.0  # seated moves up to this effort count as calm (own choice)
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
        conditions = self._calm() if calm else self.conditions
        random = self.streams.of("moves", name)
        if count == 2:
            try:
                return choose_pair(random, conditions, previous)
            except UserError:
                return choose_pair(random, conditions)
        for before in (previous, ()):
            # Two orders of one pair are one pair here.
            pairs = {frozenset(pair) for pair in fair_pairs(conditions, before)}
            slugs = sorted({slug for pair in pairs for slug in pair})
            for pair in random.sample(sorted(map(sorted, pairs)), len(pairs)):
                third = [slug for slug in slugs if all({slug, one} in pairs for one in pair)]
                if third:
                    moves = [*pair, random.choice(third)]
                    random.shuffle(moves)
                    return tuple(moves)
        raise UserError("No three moves fit this hall and class; write choices = 2, or allow more moves.")

    def _calm(self) -> Conditions:
        lively = frozenset(
            move.slug
            for move in catalogue().values()
            if not (
                move.kind in _CALM_KINDS or (move.kind == "seated" and move.effort.met(_AGE_Y) <= _CALM_MET)
            )
        )
        return replace(self.conditions, avoid=self.conditions.avoid | lively)

"""Which parts a lesson of so many minutes has, and between what its length may be changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from caller.lesson.model import MOST_ROUNDS
from caller.moves.dose import WARM_UP_S
from caller.planning.fitting import Limits

_USUAL_THINK_S: Final = 28  # deciding, and a moderate bout
_THINK_S: Final = ((16, 31), (14, 31))  # under eight years and from eight; more, and a round is over 75 s
_EIGHT_Y: Final = 8.0

_LONGEST_WARM_UP_S: Final = 240.0
_WARM_UP_SHARES: Final = (0.1, 0.17, 0.25)
_SHORTEST_WARM_UP_S: Final = 30
_CLOCKS_A_MINUTE: Final = 0.55


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """Which parts a lesson has, and whether it must have as many rounds as its minutes ask for."""

    example: bool
    brief: bool = False  # no catch-up, and fewer breaths
    enough_rounds: bool = True


SHAPES: Final = (
    Shape(example=True),
    Shape(example=False),
    Shape(example=False, enough_rounds=False),
    Shape(example=False, brief=True, enough_rounds=False),
)
"""A short period leaves the example out, and has fewer rounds only when nothing else helps."""


def limits(shape: Shape, *, minutes: int, age_y: float) -> Limits:
    """Return between what the length of such a lesson may be changed."""
    least, usual, most = (min(share * 60.0 * minutes, _LONGEST_WARM_UP_S) for share in _WARM_UP_SHARES)
    least = min(least, WARM_UP_S)
    if not shape.enough_rounds:
        least, most = 0.5 * least, min(1.5 * most, _LONGEST_WARM_UP_S)
    shortest = min(_SHORTEST_WARM_UP_S, round(usual))
    return Limits(
        think_s=_THINK_S[age_y >= _EIGHT_Y],
        usual_think_s=_USUAL_THINK_S,
        warm_up_s=(max(shortest, round(least)), max(shortest, round(usual)), max(shortest, round(most))),
        fewest_rounds=max(2, int(_CLOCKS_A_MINUTE * minutes)) if shape.enough_rounds else 1,
        most_rounds=MOST_ROUNDS,
    )

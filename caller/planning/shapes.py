"""Which parts a lesson of so many minutes has, and between what its length may be changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from caller.lesson.model import MOST_ROUNDS
from caller.moves.dose import WARM_UP_S
from caller.planning.fitting import Limits

# How long to think and move: the least that leaves time to count (own inference), and the most that stays a
# short burst. About 25 s is common practice; both ends are our own choice.
_LEAST_THINK_S: Final[Mapping[str, int]] = MappingProxyType(
    {"o-clock": 10, "half-past": 10, "quarters": 12, "fives-past": 14, "fives-to": 15}
)
_LEAST_THINK_FINE_S: Final = 16
_MOST_THINK_S: Final = (30, 35)  # under eight years, and from eight years
_EIGHT_Y: Final = 8.0

_LONGEST_WARM_UP_S: Final = 300.0  # 5 to 10 minutes is what handbooks name (from memory); a quarter at most
_WARM_UP_MOVE_S: Final = 75.0
_WARM_UP_SHARES: Final = (0.1, 0.25)
_LOOSER_THINK_S: Final = 4  # where nothing else fits, so much less to think, and the warm-up counts for more
_MINUTES_A_ROUND: Final = 3.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """Which parts a lesson has, and whether it must have as many rounds as its minutes ask for."""

    example: bool
    practice: bool
    brief: bool = False  # no catch-up, and fewer breaths
    enough_rounds: bool = True


SHAPES: Final = (
    Shape(example=True, practice=True),
    Shape(example=True, practice=False),
    Shape(example=False, practice=False),
    Shape(example=False, practice=False, brief=True),
    Shape(example=False, practice=False, brief=True, enough_rounds=False),
)
"""A short period leaves parts out, the practice first, and has fewer rounds only when nothing else helps."""


def limits(shape: Shape, *, minutes: int, step: str, age_y: float, warm_up_moves: int) -> Limits:
    """Return between what the length of such a lesson may be changed."""
    least, most = (share * 60.0 * minutes for share in _WARM_UP_SHARES)
    think_s = _LEAST_THINK_S.get(step, _LEAST_THINK_FINE_S)
    if not shape.enough_rounds:
        think_s, least, most = think_s - _LOOSER_THINK_S, 0.5 * least, 2 * most
    most = min(most, _LONGEST_WARM_UP_S, _WARM_UP_MOVE_S * warm_up_moves)
    return Limits(
        think_s=(think_s, _MOST_THINK_S[age_y >= _EIGHT_Y]),
        warm_up_s=(round(min(least, WARM_UP_S, most)), round(most)),
        fewest_rounds=max(2, round(minutes / _MINUTES_A_ROUND)) if shape.enough_rounds else 1,
        most_rounds=MOST_ROUNDS,
    )

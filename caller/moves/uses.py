"""What a move is good for, by age: the one meaning of gentle, calm and lively, and how long it may go on.

They are facts of a move. The effort is the compendium's for the age; where the lines are drawn is our own
choice.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from caller.moves.catalogue import Move
from caller.moves.effort import CUT_3, intensity

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


LONGEST_BOUT_S: Final = 30
"""No move is asked for longer at a stretch: children's own bursts are short (Bailey et al. 1995, MSSE
27:1033)."""
MOST_LANDINGS: Final = 60
"""Landings from jumps and hops in a lesson, for a child who always has the jumping move: programmes for 5 to
14
years start at 50 to 60 a session (Johnson, Salzberg and Stevenson 2011, JSCR 25:2623, abstract)."""

_EIGHT_Y: Final = 8.0
_SIX_Y: Final = 6.0


@dataclass(frozen=True, slots=True)
class BoutLimits:
    """Between how many seconds a bout of a move may last, and how long it lasts by itself."""

    least_s: int
    usual_s: int
    most_s: int


def bout_limits(move: Move, age_y: float) -> BoutLimits:
    """Return how long a move may go on without a break, by age.

    A moderate or easy one 20 to 30 s; a vigorous one 10 to 15 s under eight and 15 to 30 s from eight (Baquet
    et al. 2019, Pediatr Exerc Sci 31:248: 15 s hard and 15 s still suit children; the ages are our own
    judgement); a hold 3 to 5 s at five, to 10 s at six and seven, to 15 s from eight (Condon and Cremin 2014,
    abstract, and practice pages).
    """
    older = age_y >= _EIGHT_Y
    if move.hold:
        most = 15 if older else 10 if age_y >= _SIX_Y else 5
        return BoutLimits(3, most, most)
    if intensity(move.effort.met(age_y)) == "vigorous":
        return BoutLimits(15, 20, LONGEST_BOUT_S) if older else BoutLimits(10, 15, 15)
    return BoutLimits(20, 25, LONGEST_BOUT_S)


def landings(move: Move, seconds: float, bpm: float) -> float:
    """Return how often a child lands from a jump or hop who does the move for so long on such a beat."""
    return move.jumps * bpm / 60.0 / move.beats * seconds

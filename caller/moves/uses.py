"""What a move is good for, by age: gentle, calm or lively, how long, and as a catch-up offered to all.

They are facts of a move. The effort is the compendium's for the age; where the lines are drawn is our own
choice.

Nothing here knows who was right, so a wrong answer cannot cost more: exercise is not a punishment here.
Giving or withholding physical activity as punishment or to manage behaviour is named an inappropriate
practice by SHAPE America (position statement 2021, earlier NASPE 2009).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from caller.moves import Move, find
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


CatchUpKind = Literal["everyone", "practise", "calm", "none"]
CATCH_UP_KINDS: Final[tuple[CatchUpKind, ...]] = ("everyone", "practise", "calm", "none")
DEFAULT_KIND: Final[CatchUpKind] = "everyone"

LEAST_S, USUAL_S, MOST_S = 12, 16, 20
"""A real bout of the whole class: long enough to count as movement, short enough to come back from."""

_LOOK_S: Final = 10
_BREATHS_S: Final = 12
_CALM_MOVE: Final = "slow-breaths"


@dataclass(frozen=True, slots=True, kw_only=True)
class CatchUpChosen:
    """What follows an answer.

    Attributes
    ----------
    move
        What the whole class does; None where nobody moves.
    seconds
        For how long, or how long they look.
    arms
        The class shows the right time with the arms first.
    """

    kind: CatchUpKind
    move: Move | None
    seconds: int
    arms: bool = False


def catch_up(
    kind: CatchUpKind,
    move: Move | None,
    *,
    easy: Move,
    age_y: float,
    seconds: int | None = None,
    arms: bool = False,
) -> CatchUpChosen:
    """Return the catch-up of this kind after the answer whose move is `move`; None where there was none.

    `easy` is what everybody does where the answer's own move has been enough.

    everyone
        The whole class does the answer's move for a bout of `seconds`. After a jump, so that landings are not
        doubled, and where nothing was chosen, it does `easy`. A hold lasts as long as the age allows.
    practise
        Those who want another look trace the hands in the air; nobody has to.
    calm
        Slow breaths for all.
    none
        On to the next call.
    """
    if kind == "none":
        return CatchUpChosen(kind=kind, move=None, seconds=0)
    if kind == "practise":
        return CatchUpChosen(kind=kind, move=None, seconds=_LOOK_S)
    if kind == "calm":
        calm = find(_CALM_MOVE)
        seated = easy.kind == "seated"
        return CatchUpChosen(kind=kind, move=find(calm.seated) if seated else calm, seconds=_BREATHS_S)
    together = easy if move is None or move.jumps else move
    limits = bout_limits(together, age_y)
    wanted = min(max(seconds or USUAL_S, LEAST_S), MOST_S)
    return CatchUpChosen(kind=kind, move=together, seconds=min(wanted, limits.most_s), arms=arms)

"""The catch-up after an answer: offered to all, short, and never heavier for a wrong answer.

Nothing here knows who was right, so a wrong answer cannot cost more: exercise is not a punishment here.
Giving or withholding physical activity as punishment or to manage behaviour is named an inappropriate
practice by SHAPE America (position statement 2021, earlier NASPE 2009).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from caller.moves.catalogue import Move, find
from caller.moves.uses import bout_limits

CatchUpKind = Literal["everyone", "practise", "calm", "none"]
CATCH_UP_KINDS: Final[tuple[CatchUpKind, ...]] = ("everyone", "practise", "calm", "none")
DEFAULT_KIND: Final[CatchUpKind] = "everyone"

LEAST_S, USUAL_S, MOST_S = 12, 16, 20
"""A real bout of the whole class: long enough to count as movement, short enough to come back from."""

_LOOK_S: Final = 10
_BREATHS_S: Final = 12
_CALM_MOVE: Final = "slow-breaths"


@dataclass(frozen=True, slots=True, kw_only=True)
class CatchUp:
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
) -> CatchUp:
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
        return CatchUp(kind=kind, move=None, seconds=0)
    if kind == "practise":
        return CatchUp(kind=kind, move=None, seconds=_LOOK_S)
    if kind == "calm":
        calm = find(_CALM_MOVE)
        seated = easy.kind == "seated"
        return CatchUp(kind=kind, move=find(calm.seated) if seated else calm, seconds=_BREATHS_S)
    together = easy if move is None or move.jumps else move
    limits = bout_limits(together, age_y)
    wanted = min(max(seconds or USUAL_S, LEAST_S), MOST_S)
    return CatchUp(kind=kind, move=together, seconds=min(wanted, limits.most_s), arms=arms)

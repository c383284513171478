"""The catch-up after an answer: short, offered to all, and never heavier for a wrong answer.

Nothing here knows who was right, so a wrong answer cannot cost more. The wording lives with the run sheet;
this module names the sentences by key.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from caller.moves.catalogue import Move, find

CatchUpKind = Literal["everyone", "practise", "calm", "none"]
CATCH_UP_KINDS: Final[tuple[CatchUpKind, ...]] = ("everyone", "practise", "calm", "none")
DEFAULT_KIND: Final[CatchUpKind] = "everyone"

DEFAULT_REPS: Final = 3
"""Three repetitions: common practice, no source."""
MAXIMUM_REPS: Final = 5
MAXIMUM_S: Final = 20.0
_ARMS_S: Final = 4.0
_HOLD_S: Final = 5.0
_LOOK_S: Final = 10.0
_CALM_MOVE: Final = "slow-breaths"

NOTE: Final = (
    "Exercise is not a punishment here. A wrong answer never costs more, harder or longer exercise: the "
    "catch-up is the same for the whole class, and short. Giving or withholding physical activity as "
    "punishment or to manage behaviour is named an inappropriate practice by SHAPE America (position "
    "statement 2021, earlier NASPE 2009). To change it, write [catch_up] in the lesson and under it "
    'kind = "everyone", "practise", "calm" or "none"; none turns it off.'
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CatchUp:
    """What follows an answer.

    Attributes
    ----------
    move, seated
        Slugs of the move and its seated version; None where nobody moves.
    arms
        The class shows the right time with the arms first.
    reps
        Repetitions; 0 for a hold or where nobody moves.
    seconds
        The whole catch-up, arms included.
    sentences
        Keys of the sentences to say, in order.
    """

    kind: CatchUpKind
    move: str | None
    seated: str | None
    arms: bool
    reps: int
    seconds: float
    sentences: tuple[str, ...]


def catch_up(kind: CatchUpKind, move: str, *, reps: int = DEFAULT_REPS) -> CatchUp:
    """Return the catch-up of this kind after the answer whose move is `move`.

    everyone
        The whole class shows the right time with the arms and does the answer's move a few times.
    practise
        Those who want another look trace the hands in the air; nobody has to.
    calm
        Slow breaths for all.
    none
        On to the next call.

    Repetitions are cut to `MAXIMUM_REPS` and to what fits into `MAXIMUM_S`; a move that is held is held for a
    few seconds instead.
    """
    if kind == "none":
        return CatchUp(kind=kind, move=None, seated=None, arms=False, reps=0, seconds=0.0, sentences=())
    if kind == "practise":
        sentences = ("catch-up.look-again", "catch-up.trace", "catch-up.nobody-has-to")
        return CatchUp(
            kind=kind, move=None, seated=None, arms=True, reps=0, seconds=_LOOK_S, sentences=sentences
        )
    arms = kind == "everyone"
    doing = find(move if arms else _CALM_MOVE)
    allowed = _reps(doing, reps, MAXIMUM_S - _ARMS_S * arms)
    moving_s = _HOLD_S if doing.hold else allowed / doing.tempo_hz
    opening = ("catch-up.everyone", "catch-up.arms") if arms else ("catch-up.calm",)
    return CatchUp(
        kind=kind,
        move=doing.slug,
        seated=doing.seated,
        arms=arms,
        reps=allowed,
        seconds=_ARMS_S * arms + moving_s,
        sentences=(*opening, "catch-up.hold" if doing.hold else "catch-up.reps"),
    )


def _reps(move: Move, asked: int, seconds: float) -> int:
    if move.hold:
        return 0
    return max(1, min(asked, MAXIMUM_REPS, int(seconds * move.tempo_hz)))

"""The decided lesson: every choice made, and no words.

Plain data, the same for the same lesson and seed. Fairness, movement and safety are properties of it: what
plans, checks and says a lesson reads this.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from caller.clock.ladder import Step
from caller.clock.times import ClockTime
from caller.languages import Register
from caller.lesson.model import Lesson
from caller.moves.catalogue import Move
from caller.moves.catchup import CatchUp
from caller.questions.kind import Question

Side = Literal["left", "middle", "right"]
LessonPart = Literal["opening", "example", "practice", "round", "calm", "reteach", "close"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DecidedRound:
    """A round with everything decided.

    Attributes
    ----------
    number, total
        From 1, of all rounds; the practice has no number.
    side
        Where the right choice stands; the middle where there is nothing to choose.
    moves
        By lane, left to right.
    catch_up
        What follows the answer; None where nothing was chosen.
    say, reason
        The teacher's own words, if any.
    """

    part: LessonPart
    number: int | None
    total: int
    question: Question
    side: Side
    moves: tuple[Move, ...]
    think_s: int
    catch_up: CatchUp | None
    say: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmUpMove:
    """One move of the warm-up, and how long it lasts."""

    move: Move
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DecidedLesson:
    """A lesson with everything decided.

    Attributes
    ----------
    lesson
        As the teacher wrote it: the title and the words of their own stand there.
    registers
        How a choice is read the first and the second time.
    resting, marching
        The moves of a pause, and of the figure beside the rules.
    example
        The clock read together first; None without one.
    """

    lesson: Lesson
    step: Step
    registers: tuple[Register, Register]
    resting: Move
    marching: Move
    warm_up: tuple[WarmUpMove, ...]
    example: ClockTime | None
    practice: DecidedRound | None
    rounds: tuple[DecidedRound, ...]

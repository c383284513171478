"""The decided lesson: every choice made over the whole of it, and no words.

Plain data, the same for the same lesson and seed. Fairness, movement and safety are properties of it: what
plans, checks and says a lesson reads this.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

from caller.clock import ClockTime
from caller.clock.beyond_dial import on_day
from caller.clock.ladder import Step
from caller.languages import Register
from caller.lesson import Lesson
from caller.moves import Move
from caller.moves.pick_moves import WarmUpMove
from caller.moves.uses import CatchUpChosen
from caller.questions import question_kind
from caller.questions.kind import Question

_BEYOND_MIN = 10  # beyond the o'clock an example goes at least so far

Side = Literal["left", "middle", "right"]
LessonPart = Literal["opening", "example", "practice", "round", "calm", "reteach", "close"]

_LANES: Mapping[int, tuple[Side, ...]] = MappingProxyType(
    {2: ("left", "right"), 3: ("left", "middle", "right")}
)


def lane_sides(choices: int) -> tuple[Side, ...]:
    """Return the lanes that hold two or three choices, from left to right."""
    return _LANES[choices]


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
    decide_s, bout_s
        Still seconds in which each child decides, and then so many of the move.
    meanwhile
        What the class does while it thinks, where it has no choice of moves.
    catch_up
        What follows the answer; None where nothing does.
    breath
        Whether so much effort asks for a breath before the next clock.
    rules
        The rules are told on this clock.
    full
        Told in full words, as long as the class is learning how a round goes.
    asked_before
        The lesson has had such a question, so that a short one will do.
    twice
        The choices are said twice.
    mixup_told
        How one comes to the wrong reading is told after the reason.
    say, reason
        The teacher's own words, if any.
    """

    part: LessonPart
    number: int | None
    total: int
    question: Question
    side: Side
    moves: tuple[Move, ...]
    decide_s: int
    bout_s: int
    catch_up: CatchUpChosen | None
    meanwhile: Move | None = None
    breath: bool = False
    rules: bool = False
    full: bool = False
    asked_before: bool = False
    twice: bool = False
    mixup_told: bool = True
    say: str = ""
    reason: str = ""

    @property
    def right_move(self) -> Move | None:
        """The move of the right choice; None where there is nothing to choose."""
        return self.moves[lane_sides(len(self.moves)).index(self.side)] if self.moves else None


@dataclass(frozen=True, slots=True, kw_only=True)
class DecidedLesson:
    """A lesson with everything decided.

    Attributes
    ----------
    lesson
        As the teacher wrote it: the title and the words of their own stand there.
    registers
        How a choice is read the first and the second time.
    age_y
        How old the youngest are.
    resting, easy
        The move of a pause, and one that everybody can do at any time.
    greeted
        The class has been led before: it needs one sentence of safety and no rules.
    example
        The clock read together first; None without one.
    """

    lesson: Lesson
    step: Step
    registers: tuple[Register, Register]
    age_y: float
    resting: Move
    easy: Move
    greeted: bool
    warm_up: tuple[WarmUpMove, ...]
    example: ClockTime | None
    practice: DecidedRound | None
    rounds: tuple[DecidedRound, ...]

    @property
    def reckoned_example(self) -> DecidedRound | None:
        """The example's clock asked about as the first reckoning round asks, with nothing to choose.

        So many minutes on or back as the widest such round, and over the hour: the hardest is shown first.
        """
        like = [each for each in self.rounds if question_kind(each.question.kind).skill]
        if self.example is None or not like:
            return None
        alike = [each.question for each in like if each.question.kind == like[0].question.kind]
        asked = max(alike, key=lambda each: abs(each.change_minutes))
        question = replace(asked, time=on_day(self.example, "pm"), wrong=())
        if asked.start is not None:
            change = _over_the_hour(self.example, asked.change_minutes)
            end = self.example.plus(change)
            question = replace(question, time=end, start=self.example, change_minutes=change)
        return replace(like[0], part="example", number=None, question=question, say="", reason="")


def _over_the_hour(start: ClockTime, change: int) -> int:
    """Return the change, made long enough to go on beyond the o'clock."""
    to_hour = 60 - start.minute if change > 0 else start.minute or 60
    length = max(abs(change), to_hour + _BEYOND_MIN)
    return length if change > 0 else -length

"""What all parts of one run sheet share: the lesson, and how it is spoken."""

from __future__ import annotations

from dataclasses import dataclass, replace

from caller.clock.ladder import Step, step
from caller.deciding.circumstances import registers_of
from caller.deciding.lesson import resting_move
from caller.hall.adapt import Delivery
from caller.languages.phrases import phrases
from caller.lesson.model import Lesson
from caller.moves.catalogue import Move
from caller.questions.kind import Question
from caller.runsheet.model import Board
from caller.runsheet.talk import Talk


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """The shared facts of one run sheet."""

    lesson: Lesson
    step: Step
    talk: Talk
    resting_move: Move

    @classmethod
    def of(cls, lesson: Lesson, delivery: Delivery) -> Setting:
        """Return the setting of a lesson, spoken as its hall needs."""
        return cls(
            lesson=lesson,
            step=step(lesson.step),
            talk=Talk(
                first=phrases(lesson.language),
                second=phrases(lesson.second_language) if lesson.second_language else None,
                registers=registers_of(lesson),
                delivery=delivery,
                numerals=lesson.numerals,
            ),
            resting_move=resting_move(lesson),
        )

    def offering(self, question: Question) -> Setting:
        """Return the setting of one round, in which its readings stand beside each other."""
        times = (question.dial, question.claim, *(each.dial for each in question.wrong))
        on_offer = tuple(each for each in times if each is not None)
        return replace(self, talk=replace(self.talk, on_offer=on_offer))

    @property
    def seated(self) -> str:
        """The ending of phrases that differ for a class on chairs."""
        return "-seated" if self.lesson.seated else ""

    def resting(self) -> Board:
        """Return the board of a pause: a figure that breathes slowly."""
        return Board(layout="figure", move=self.resting_move.slug)

    def name(self, move: Move) -> str:
        """Return a move's name as shown."""
        return move.name(self.talk.first.code)

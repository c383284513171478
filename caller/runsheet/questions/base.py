"""What every kind of question comes down to, so that one sequencer runs them all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from random import Random

from caller.clock.ladder import Step
from caller.clock.mixups import explained_by
from caller.clock.times import ClockTime, DayTime
from caller.clock.wrong import choose
from caller.languages import Register
from caller.languages.reasons import reason, why_wrong
from caller.lesson.model import QuestionKind
from caller.runsheet.model import Board, Line
from caller.runsheet.talk import REASON_PAUSE, Slot, Talk


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """What a kind of question is given to work with.

    Attributes
    ----------
    chance
        This round's own random numbers, for this decision alone.
    used
        The mix-ups behind the wrong readings offered so far in the lesson.
    confused
        How much the class shows each mix-up, 0 to 1.
    """

    kind: QuestionKind
    time: ClockTime | DayTime
    wrong: tuple[ClockTime | DayTime, ...] = ()
    claim: ClockTime | None = None
    change_minutes: int = 30
    choices: int = 2
    step: Step
    talk: Talk
    chance: Random
    used: tuple[frozenset[str], ...] = ()
    confused: Mapping[str, float] = field(default_factory=dict)
    minimum_difference_deg: float = 6.0

    @property
    def dial(self) -> ClockTime:
        """The time as a dial shows it."""
        return self.time.dial if isinstance(self.time, DayTime) else self.time


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One choice, before it has a side and a move.

    Attributes
    ----------
    label, again
        How it is read aloud, first and the second time; None where it is named by its lane.
    words
        As shown under the numeral; the label's words if empty.
    """

    numeral: str
    label: Slot | None
    again: Slot | None = None
    words: str = ""
    dial: ClockTime | None = None
    time: ClockTime
    mixups: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A question with everything decided but sides and moves.

    Attributes
    ----------
    choices
        The right one first; none where there is no wrong answer.
    board, revealed
        The screen while it is asked, and once the answer is out, without lanes.
    time
        The right time, as a dial shows it.
    """

    question: tuple[Line, ...]
    choices: tuple[Choice, ...]
    board: Board
    revealed: Board
    answer: tuple[Line, ...]
    reason: tuple[Line, ...]
    time: ClockTime


def reading_choice(talk: Talk, time: ClockTime, mixups: frozenset[str] = frozenset()) -> Choice:
    """Return the choice of a time: its numeral, and its reading in the lesson's registers."""
    return Choice(
        numeral=talk.first.language.numeral(time),
        label=talk.time(time),
        again=talk.time(time, again=True),
        words=talk.first.language.phrase(time, talk.register).written,
        time=time,
        mixups=mixups,
    )


def wrong_readings(ask: Ask, time: ClockTime) -> tuple[tuple[ClockTime, frozenset[str]], ...]:
    """Return the wrong readings of `time` to offer, the script's own first, with the mix-ups behind each."""
    own = tuple(each.dial if isinstance(each, DayTime) else each for each in ask.wrong)
    explained = tuple((each, explained_by(time, each)) for each in own)
    needed = ask.choices - 1 - len(own)
    if needed <= 0:
        return explained[: ask.choices - 1]
    registers: set[Register] = set(ask.talk.registers)
    chosen = choose(
        time,
        step=ask.step,
        count=needed,
        seed=ask.chance,
        confused=ask.confused,
        minimum_difference_deg=ask.minimum_difference_deg,
        used=(*ask.used, *(mixups for _, mixups in explained)),
        registers=registers,
    )
    return explained + tuple((each.time, each.mixups) for each in chosen)


def reason_lines(talk: Talk, time: ClockTime, step: Step, *, pause: float = REASON_PAUSE) -> tuple[Line, ...]:
    """Return why it is this time, read off the two hands."""
    clauses = reason(time, step=step, language=talk.first.language, register=talk.register)
    return tuple(talk.spoken(clause, pause=pause, cue=clause.cue) for clause in clauses)


def tempting_lines(talk: Talk, time: ClockTime, wrong: tuple[Choice, ...]) -> tuple[Line, ...]:
    """Return, for each wrong reading, how one comes to it."""
    clauses = (
        why_wrong(each.time, time, each.mixups, language=talk.first.language, register=talk.register)
        for each in wrong
    )
    return tuple(talk.spoken(clause, pause=REASON_PAUSE, cue=clause.cue) for clause in clauses)

"""What each kind of question about the dial says and shows; nothing is chosen here, and no word looked up."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TypeAlias

from caller.clock import ClockTime
from caller.deciding import DecidedRound
from caller.languages.phrases import Fragment, HandsRead, Numeral, Reading, ToSay, Why, WhyTempting
from caller.questions.kind import Question
from caller.questions.on_the_dial import BE_THE_CLOCK, FIND, IS_IT_SO, READ
from caller.runsheet import Dial
from caller.runsheet.sayings import QUESTION_PAUSE, REASON_PAUSE, SHORT_PAUSE, Saying, Shown, say, say_in_both


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One choice as it is said and shown, before it has a lane.

    Attributes
    ----------
    numeral
        Shown very large; None where the choice is a dial.
    label, again
        How it is read aloud, first and the second time; None where it is named by its lane.
    words
        As shown under the numeral; the label's if None.
    dial
        The choice itself, where it is a dial.
    """

    numeral: ToSay | None = None
    label: ToSay | None = None
    again: ToSay | None = None
    words: ToSay | None = None
    dial: ClockTime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionAsked:
    """A question as it is said and shown.

    Attributes
    ----------
    choices
        The right one first; none where there is no wrong answer.
    board, revealed
        The screen while it is asked, and once the answer is out, without lanes.
    brief
        The answer in a word, where the reason ends on the time.
    """

    question: tuple[Saying, ...]
    choices: tuple[Choice, ...] = ()
    board: Shown
    revealed: Shown
    answer: tuple[Saying, ...]
    brief: Saying
    reason: tuple[Saying, ...]


Asks: TypeAlias = Callable[[DecidedRound], QuestionAsked]
"""How one kind of question is put."""


def asked_as(about: DecidedRound) -> str:
    """Return which sentence asks: the whole question, or once it is known the short one."""
    return "again" if about.asked_before else "question"


def question_pause(about: DecidedRound) -> float:
    """Return how long a question is left to sink in; one that is known need not."""
    return SHORT_PAUSE if about.asked_before else QUESTION_PAUSE


def readings(question: Question) -> tuple[Choice, ...]:
    """Return choices that are readings of a dial."""
    times = (question.dial, *(each.dial for each in question.wrong))
    return tuple(
        Choice(
            numeral=Numeral(time),
            label=Reading(time),
            again=Reading(time, again=True),
            words=Reading(time, plain=True),
        )
        for time in times
    )


def _again(about: DecidedRound, key: str, time: ClockTime) -> tuple[Saying, ...]:
    """Return a question said once more, in the other wording; nothing unless that is asked for."""
    return (say(key, pause=QUESTION_PAUSE, time=Reading(time, again=True)),) if about.twice else ()


def _off_the_dial(about: DecidedRound) -> tuple[Saying, ...]:
    """Return why it is this time; and how one comes to each wrong reading, where this round tells it."""
    question = about.question
    whys: list[Why] = [HandsRead(question.dial)]
    if about.mixup_told:
        whys += (WhyTempting(each.dial, question.dial) for each in question.told_wrong)
    return tuple(Saying(words=why, pause=REASON_PAUSE) for why in whys)


def _read(about: DecidedRound) -> QuestionAsked:
    time = about.question.dial
    board = Shown(layout="clock", dials=(Dial(time=time),))
    question = say_in_both("read.question", pause=QUESTION_PAUSE)
    return QuestionAsked(
        question=question if about.full else (say("read.question", pause=SHORT_PAUSE),),
        choices=readings(about.question),
        board=board,
        revealed=board,
        answer=say_in_both("answer.is", time=Reading(time)),
        brief=say(f"answer.short-{about.side}", pause=SHORT_PAUSE),
        reason=_off_the_dial(about),
    )


def _find(about: DecidedRound) -> QuestionAsked:
    """The choices are clocks, so nothing needs to be read."""
    time = about.question.dial
    dials = (time, *(each.dial for each in about.question.wrong))
    board = Shown(layout="dials", asked=Numeral(time), asked_words=Reading(time))
    return QuestionAsked(
        question=(
            *say_in_both("find.question", pause=question_pause(about), time=Reading(time)),
            *_again(about, "find.again", time),
        ),
        choices=tuple(Choice(dial=each) for each in dials),
        board=board,
        # The right clock comes to the middle, so that the reason can be shown on it.
        revealed=replace(board, dials=(Dial(time=time),)),
        answer=say_in_both("find.answer", lane=Fragment(f"find.{about.side}"), time=Reading(time)),
        brief=say(f"answer.short-{about.side}", pause=SHORT_PAUSE),
        reason=_off_the_dial(about),
    )


def _is_it_so(about: DecidedRound) -> QuestionAsked:
    """A clock and a claim, with a move for yes and a move for no."""
    time = about.question.dial
    claim = about.question.claim or time
    right, other = ("yes", "no") if claim == time else ("no", "yes")
    board = Shown(layout="clock", dials=(Dial(time=time),), asked=Numeral(claim), asked_words=Reading(claim))
    return QuestionAsked(
        question=(
            *say_in_both("is-it-so.question", pause=question_pause(about), time=Reading(claim)),
            *_again(about, "is-it-so.question", claim),
        ),
        choices=(_yes_or_no(right, claim), _yes_or_no(other, claim)),
        board=board,
        revealed=replace(board, asked=Numeral(time), asked_words=Reading(time)),
        answer=say_in_both(f"is-it-so.answer-{right}", time=Reading(time)),
        brief=say(f"is-it-so.brief-{right}", pause=SHORT_PAUSE),
        reason=_off_the_dial(about),
    )


def _yes_or_no(answer: str, claim: ClockTime) -> Choice:
    return Choice(
        numeral=Fragment(f"is-it-so.{answer}"),
        label=Fragment(f"is-it-so.{answer}-words", {"time": Reading(claim)}),
        again=Fragment(f"is-it-so.{answer}", lower=True),
    )


def _be_the_clock(about: DecidedRound) -> QuestionAsked:
    """Everyone makes the hands with their arms, and there is no wrong answer."""
    time = about.question.dial
    board = Shown(layout="clock", dials=(Dial(time=None),), asked=Numeral(time), asked_words=Reading(time))
    return QuestionAsked(
        question=(
            *say_in_both("be-the-clock.question", pause=QUESTION_PAUSE, time=Reading(time)),
            *((say("be-the-clock.hands", pause=QUESTION_PAUSE),) if about.rules else ()),
            *_again(about, "be-the-clock.question", time),
        ),
        board=board,
        revealed=replace(board, layout="figure", dials=(Dial(time=time),), arms=time),
        answer=(*say_in_both("be-the-clock.answer", time=Reading(time)), say("be-the-clock.every-try")),
        brief=say("be-the-clock.answer", time=Reading(time), pause=SHORT_PAUSE),
        reason=_off_the_dial(about),
    )


ABOUT_THE_DIAL: Mapping[str, Asks] = MappingProxyType(
    {READ.code: _read, FIND.code: _find, IS_IT_SO.code: _is_it_so, BE_THE_CLOCK.code: _be_the_clock}
)

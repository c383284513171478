"""Be the clock: everyone makes the hands with their arms, and there is no wrong answer."""

from __future__ import annotations

from caller.runsheet.model import Board, Dial
from caller.runsheet.questions.base import Ask, Asked, reason_lines
from caller.runsheet.talk import QUESTION_PAUSE


def ask_be_the_clock(ask: Ask) -> Asked:
    """Return the question "make this time with your arms"."""
    talk, time = ask.talk, ask.dial
    asked = talk.first.language.numeral(time)
    words = talk.words(talk.time(time))
    return Asked(
        question=(
            *talk.main("be-the-clock.question", pause=QUESTION_PAUSE, time=talk.time(time)),
            talk.line("be-the-clock.hands", pause=QUESTION_PAUSE),
            talk.line("be-the-clock.question", pause=QUESTION_PAUSE, time=talk.time(time, again=True)),
        ),
        choices=(),
        board=Board(layout="clock", dials=(Dial(time=None),), asked=asked, asked_words=words),
        revealed=Board(layout="figure", dials=(Dial(time=time),), asked=asked, asked_words=words, arms=time),
        answer=talk.main("be-the-clock.answer", time=talk.time(time)),
        reason=reason_lines(talk, time, ask.step),
        time=time,
    )

"""Read the dial: a clock, and two or three readings."""

from __future__ import annotations

from caller.runsheet.model import Board, Dial
from caller.runsheet.questions.base import (
    Ask,
    Asked,
    reading_choice,
    reason_lines,
    tempting_lines,
    wrong_readings,
)
from caller.runsheet.talk import QUESTION_PAUSE


def ask_read(ask: Ask) -> Asked:
    """Return the question "what time is it?"."""
    talk, time = ask.talk, ask.dial
    wrong = tuple(reading_choice(talk, each, mixups) for each, mixups in wrong_readings(ask, time))
    board = Board(layout="clock", dials=(Dial(time=time),))
    return Asked(
        question=talk.main("read.question", pause=QUESTION_PAUSE),
        choices=(reading_choice(talk, time), *wrong),
        board=board,
        revealed=board,
        answer=talk.main("answer.is", time=talk.time(time)),
        reason=(*reason_lines(talk, time, ask.step), *tempting_lines(talk, time, wrong)),
        time=time,
    )

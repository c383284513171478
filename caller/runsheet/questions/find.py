"""Find the dial: a time is said, and the choices are clocks; nothing needs to be read."""

from __future__ import annotations

from dataclasses import replace

from caller.runsheet.model import Board, Dial
from caller.runsheet.questions.base import Ask, Asked, Choice, reason_lines, tempting_lines, wrong_readings
from caller.runsheet.talk import QUESTION_PAUSE


def ask_find(ask: Ask) -> Asked:
    """Return the question "which clock shows this time?"."""
    talk, time = ask.talk, ask.dial
    wrong = tuple(
        Choice(numeral="", label=None, dial=each, time=each, mixups=mixups)
        for each, mixups in wrong_readings(ask, time)
    )
    board = Board(
        layout="dials",
        asked=talk.first.language.numeral(time),
        asked_words=talk.words(talk.time(time)),
    )
    return Asked(
        question=(
            *talk.main("find.question", pause=QUESTION_PAUSE, time=talk.time(time)),
            talk.line("find.again", time=talk.time(time, again=True), pause=QUESTION_PAUSE),
        ),
        choices=(Choice(numeral="", label=None, dial=time, time=time), *wrong),
        board=board,
        # The right clock comes to the middle, so that the reason can be shown on it.
        revealed=replace(board, dials=(Dial(time=time),)),
        answer=(),
        reason=(*reason_lines(talk, time, ask.step), *tempting_lines(talk, time, wrong)),
        time=time,
    )

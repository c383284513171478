"""Is it so: a clock and a claim, with a move for yes and a move for no."""

from __future__ import annotations

from caller.clock.mixups import explained_by
from caller.clock.times import ClockTime
from caller.languages.phrases import same
from caller.runsheet.model import Board, Dial
from caller.runsheet.questions.base import Ask, Asked, Choice, reason_lines, tempting_lines, wrong_readings
from caller.runsheet.talk import QUESTION_PAUSE


def ask_is_it_so(ask: Ask) -> Asked:
    """Return the question "is it this time?"."""
    talk, time = ask.talk, ask.dial
    claim, mixups = _claim(ask, time)
    true = claim == time
    right, other = ("yes", "no") if true else ("no", "yes")

    def board(under_dial: ClockTime) -> Board:
        return Board(
            layout="clock",
            dials=(Dial(time=time),),
            asked=talk.first.language.numeral(under_dial),
            asked_words=talk.words(talk.time(under_dial)),
        )

    claimed = Choice(numeral="", label=None, time=claim, mixups=mixups)
    return Asked(
        question=(
            *talk.main("is-it-so.question", pause=QUESTION_PAUSE, time=talk.time(claim)),
            talk.line("is-it-so.question", pause=QUESTION_PAUSE, time=talk.time(claim, again=True)),
        ),
        choices=(
            _choice(ask, right, claim),
            # Where the claim is true, "no" stands for no reading in particular.
            _choice(ask, other, claim, mixups=mixups),
        ),
        board=board(claim),
        revealed=board(time),
        answer=talk.main(f"is-it-so.answer-{right}", time=talk.time(time)),
        reason=(
            *reason_lines(talk, time, ask.step),
            *(() if true else tempting_lines(talk, time, (claimed,))),
        ),
        time=time,
    )


def _claim(ask: Ask, time: ClockTime) -> tuple[ClockTime, frozenset[str]]:
    """Return what is claimed; where the script leaves it open, as often true as not."""
    if ask.claim is not None:
        return ask.claim, explained_by(time, ask.claim)
    true = ask.chance.random() < 0.5
    return (time, frozenset()) if true else wrong_readings(ask, time)[0]


def _choice(ask: Ask, answer: str, claim: ClockTime, *, mixups: frozenset[str] = frozenset()) -> Choice:
    talk = ask.talk
    return Choice(
        numeral=talk.first.sentences[f"is-it-so.{answer}"],
        label=lambda phrases: phrases.part(f"is-it-so.{answer}-words", time=talk.time(claim)(phrases)),
        again=lambda phrases: same(phrases.sentences[f"is-it-so.{answer}"].lower()),
        time=claim,
        mixups=mixups,
    )

"""Questions about the dial that is shown: read it, find it, is it so, and be it."""

from __future__ import annotations

from typing import Final

from caller.clock.ladder import Step
from caller.clock.mixups import explained_by
from caller.clock.said_and_shown import EVERY_MANNER
from caller.clock.wrong import rank
from caller.questions.kind import (
    Asking,
    Question,
    QuestionKind,
    ShownTime,
    WrongChoice,
    on_dial,
    wrong_readings,
)


def _misread(question: Question, wrong: ShownTime, step: Step) -> bool:
    return on_dial(wrong) in {each.time for each in rank(question.dial, step=step, manners=EVERY_MANNER)}


def _read(asking: Asking) -> Question:
    return Question(kind=READ.code, time=asking.dial, wrong=wrong_readings(asking, asking.dial))


def _find(asking: Asking) -> Question:
    return Question(kind=FIND.code, time=asking.dial, wrong=wrong_readings(asking, asking.dial))


def _is_it_so(asking: Asking) -> Question:
    """Where the script leaves the claim open, it is as often true as not."""
    time = asking.dial
    if asking.claim is not None:
        claim = WrongChoice(time=asking.claim, mixups=explained_by(time, asking.claim, asking.manners))
    elif asking.chance.random() < 0.5:
        claim = WrongChoice(time=time)
    else:
        claim = wrong_readings(asking, time)[0]
    # Where the claim is true, "no" stands for no reading in particular.
    return Question(kind=IS_IT_SO.code, time=time, claim=claim.dial, wrong=(claim,))


def _be_the_clock(asking: Asking) -> Question:
    return Question(kind=BE_THE_CLOCK.code, time=asking.dial)


READ: Final = QuestionKind(
    code="read",
    label="read the dial",
    read_off_dial=True,
    wrong_kept=True,
    again="read",
    decide=_read,
    tempting=_misread,
)
FIND: Final = QuestionKind(
    code="find",
    label="find the dial",
    read_off_dial=True,
    wrong_kept=True,
    again="read",
    decide=_find,
    tempting=_misread,
)
IS_IT_SO: Final = QuestionKind(
    code="is-it-so",
    label="is it so",
    choices="two",
    claims=True,
    read_off_dial=True,
    again="read",
    decide=_is_it_so,
    tempting=_misread,
)
BE_THE_CLOCK: Final = QuestionKind(
    code="be-the-clock",
    label="be the clock",
    choices="none",
    finest_min=5,  # arms held as hands tell no single minutes
    again="be-the-clock",
    decide=_be_the_clock,
    tempting=_misread,
)

ON_THE_DIAL: Final = (READ, FIND, IS_IT_SO, BE_THE_CLOCK)
"""In the order in which they are listed to a teacher."""

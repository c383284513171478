"""Times of day: the 24-hour clock for a time told with its part of the day, and which half of the day it is.

In the second a dial and something everyday tell the half: a dial shows each of its times twice a day.
"""

from __future__ import annotations

from typing import Final

from caller.clock.dayparts import OTHER_HALF, wrong_day_times
from caller.clock.fair import day_partners, drawn
from caller.clock.ladder import Step
from caller.clock.times import MINUTES_ON_DIAL, DayTime
from caller.questions.kind import Asking, Question, QuestionKind, ShownTime, WrongChoice

_EVERYDAY: Final = (
    (0, "sleep"),
    (360, "wake"),
    (420, "breakfast"),
    (510, "way-to-school"),
    (540, "morning-lessons"),
    (720, "lunch"),
    (780, "afternoon-lessons"),
    (900, "way-home"),
    (960, "play"),
    (1050, "supper"),
    (1140, "bed"),
    (1260, "sleep"),
)
"""What children of our own school do from this minute of the day on: common practice, no source.

None may happen twelve hours before or after as well, or the question would have two answers.
"""


def everyday(time: DayTime) -> str:
    """Return what a class does at a time of day, as a name for its sentence."""
    return next(name for begins, name in reversed(_EVERYDAY) if begins <= time.minutes)


def of_day(time: ShownTime) -> DayTime:
    """Return a time as a time of day."""
    # A script's "4:40" without am or pm is taken as the 24-hour clock has it: early in the morning.
    return time if isinstance(time, DayTime) else DayTime(time.hour, time.minute)


def _decide(asking: Asking) -> Question:
    time = of_day(asking.time)
    mistakes = wrong_day_times(time)
    own = [of_day(each) for each in asking.wrong][: asking.choices - 1]
    more = drawn(
        time,
        day_partners(time.minute),
        asking.choices - 1 - len(own),
        asking.chance,
        fits=lambda wrong, chosen: wrong not in (*own, *chosen),
    )
    return Question(
        kind=DAY_PART.code,
        time=time,
        wrong=tuple(WrongChoice(time=each, mixups=mistakes.get(each, frozenset())) for each in (*own, *more)),
    )


def _mistaken(question: Question, wrong: ShownTime, _step: Step) -> bool:
    return of_day(wrong) in wrong_day_times(of_day(question.time))


def _half(asking: Asking) -> Question:
    time = of_day(asking.time)
    other = WrongChoice(time=time.plus(MINUTES_ON_DIAL), mixups=frozenset({OTHER_HALF}))
    return Question(kind=HALF_OF_DAY.code, time=time, wrong=(other,))


def _other_half(question: Question, wrong: ShownTime, _step: Step) -> bool:
    return of_day(wrong) == of_day(question.time).plus(MINUTES_ON_DIAL)


DAY_PART: Final = QuestionKind(
    code="day-part",
    label="parts of the day",
    day_time=True,
    skill="day-parts",
    again="day-part",
    decide=_decide,
    tempting=_mistaken,
)
HALF_OF_DAY: Final = QuestionKind(
    code="half-of-day",
    label="before or after noon",
    choices="two",
    day_time=True,
    skill="day-parts",
    again="half-of-day",
    decide=_half,
    tempting=_other_half,
)

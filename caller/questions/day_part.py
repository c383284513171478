"""Part of the day: a time is told with its part of the day, and the 24-hour clock is asked for."""

from __future__ import annotations

from typing import Final

from caller.clock.dayparts import wrong_day_times
from caller.clock.ladder import Step
from caller.clock.times import DayTime
from caller.questions.kind import Asking, Question, QuestionKind, ShownTime, WrongChoice, filled_up


def _of_day(time: ShownTime) -> DayTime:
    # A script's "4:40" without am or pm is taken as the 24-hour clock has it: early in the morning.
    return time if isinstance(time, DayTime) else DayTime(time.hour, time.minute)


def _decide(asking: Asking) -> Question:
    time = _of_day(asking.time)
    mistakes = wrong_day_times(time)
    # Ten added in place of twelve says most about how the class counts, so it goes first where there is one.
    likely = sorted(mistakes, key=lambda each: min(mistakes[each]))
    wrong = filled_up(
        [_of_day(each) for each in asking.wrong], [*likely, time.plus(60), time.plus(-60)], asking.choices
    )
    return Question(
        kind=DAY_PART.code,
        time=time,
        wrong=tuple(
            WrongChoice(time=each, mixups=mistakes.get(_of_day(each), frozenset())) for each in wrong
        ),
    )


def _mistaken(question: Question, wrong: ShownTime, _step: Step) -> bool:
    return _of_day(wrong) in wrong_day_times(_of_day(question.time))


DAY_PART: Final = QuestionKind(
    code="day-part",
    label="parts of the day",
    day_time=True,
    skill="day-parts",
    again="day-part",
    decide=_decide,
    tempting=_mistaken,
)

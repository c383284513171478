"""Questions that reckon with time: how long, later and earlier, the 24-hour clock and halves of the day.

Mistakes with these sums mostly fall short of the right end and beyond the right length. What stands beside
the right answer is therefore drawn so that neither side, nor any other surface, gives it away.

In the second a dial and something everyday tell the half: a dial shows each of its times twice a day.
"""

from __future__ import annotations

from typing import Final

from caller.clock import MINUTES_ON_DIAL, DayTime
from caller.clock.beyond_dial import (
    OTHER_HALF,
    WRONG_WAY,
    elapsed,
    wrong_day_times,
    wrong_durations,
    wrong_ends,
)
from caller.clock.fair import day_partners, drawn, duration_partners, end_partners
from caller.clock.ladder import Step
from caller.clock.said_and_shown import EVERY_MANNER
from caller.clock.wrong import rank
from caller.questions.kind import Asking, Question, QuestionKind, ShownTime, WrongChoice, on_dial


def _later(asking: Asking) -> Question:
    return _moved_on(LATER.code, asking, asking.change_minutes)


def _earlier(asking: Asking) -> Question:
    return _moved_on(EARLIER.code, asking, -asking.change_minutes)


def _how_long(asking: Asking) -> Question:
    """A wrong length stands as the time at which it would end."""
    start, minutes = asking.dial, asking.change_minutes
    end = start.plus(minutes)
    own = [elapsed(start, on_dial(each)) for each in asking.wrong][: asking.choices - 1]
    lengths = drawn(
        minutes,
        duration_partners(start, minutes),
        asking.choices - 1 - len(own),
        asking.chance,
        fits=lambda wrong, chosen: wrong not in (*own, *chosen),
    )
    mistakes = wrong_durations(start, end)
    return Question(
        kind=HOW_LONG.code,
        time=end,
        start=start,
        change_minutes=minutes,
        wrong=tuple(
            # Most of a turn of the dial is a length by a mistake that no sentence tells.
            WrongChoice(time=start.plus(each), mixups=mistakes.get(each, frozenset()) - {WRONG_WAY})
            for each in (*own, *lengths)
        ),
    )


def _moved_on(code: str, asking: Asking, change: int) -> Question:
    start, end = asking.dial, asking.dial.plus(change)
    own = [on_dial(each) for each in asking.wrong][: asking.choices - 1]
    ends = drawn(
        end,
        end_partners(change, end.minute),
        asking.choices - 1 - len(own),
        asking.chance,
        fits=lambda wrong, chosen: wrong != start and wrong not in (*own, *chosen),
    )
    mistakes = wrong_ends(start, change)
    return Question(
        kind=code,
        time=end,
        start=start,
        change_minutes=change,
        wrong=tuple(WrongChoice(time=each, mixups=mistakes.get(each, frozenset())) for each in (*own, *ends)),
    )


def _mistaken_sums(question: Question, wrong: ShownTime, step: Step) -> bool:
    start = question.start or question.dial
    likely = {each.time for each in rank(question.dial, step=step, manners=EVERY_MANNER)}
    return on_dial(wrong) in {*wrong_ends(start, question.change_minutes), *likely}


def _miscounted(question: Question, wrong: ShownTime, _step: Step) -> bool:
    start = question.start or question.dial
    return elapsed(start, on_dial(wrong)) in wrong_durations(start, question.dial)


LATER: Final = QuestionKind(
    code="later", label="later", skill="elapsed", again="later", decide=_later, tempting=_mistaken_sums
)
EARLIER: Final = QuestionKind(
    code="earlier",
    label="earlier",
    skill="elapsed",
    again="earlier",
    decide=_earlier,
    tempting=_mistaken_sums,
)
HOW_LONG: Final = QuestionKind(
    code="how-long",
    label="how long",
    skill="elapsed",
    again="how-long",
    decide=_how_long,
    tempting=_miscounted,
)


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

WITH_TIME: Final = (LATER, EARLIER, HOW_LONG, DAY_PART, HALF_OF_DAY)
"""In the order in which they are listed to a teacher."""

"""Later and earlier, and how long: so many minutes from the clock that is shown, or from one to another.

Mistakes with these sums mostly fall short of the right end and beyond the right length, so where nothing else
were offered the side would give the answer away. Each wrong choice is therefore drawn from before or from
after the right one with equal chances, and is a documented mistake wherever that side has one.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from caller.clock.elapsed import (
    WRONG_WAY,
    elapsed,
    offered_durations,
    offered_ends,
    wrong_durations,
    wrong_ends,
)
from caller.clock.ladder import Step
from caller.clock.spoken import EVERY_MANNER
from caller.clock.times import MINUTES_ON_DIAL, ClockTime
from caller.clock.wrong import rank
from caller.questions.kind import (
    Asking,
    Question,
    QuestionKind,
    ShownTime,
    WrongChoice,
    on_dial,
)


def _later(asking: Asking) -> Question:
    return _moved_on(LATER.code, asking, asking.change_minutes)


def _earlier(asking: Asking) -> Question:
    return _moved_on(EARLIER.code, asking, -asking.change_minutes)


def _how_long(asking: Asking) -> Question:
    """A wrong length stands as the time at which it would end."""
    start = asking.dial
    end = start.plus(asking.change_minutes)
    offered = {
        start.plus(minutes): mixups - {WRONG_WAY}  # most of a turn of the dial is no length to hesitate over
        for minutes, mixups in offered_durations(start, end).items()
        if mixups != {WRONG_WAY}
    }
    return Question(
        kind=HOW_LONG.code,
        time=end,
        start=start,
        change_minutes=asking.change_minutes,
        wrong=_from_both_sides(asking, end, offered),
    )


def _moved_on(code: str, asking: Asking, change: int) -> Question:
    start, end = asking.dial, asking.dial.plus(change)
    return Question(
        kind=code,
        time=end,
        start=start,
        change_minutes=change,
        wrong=_from_both_sides(asking, end, offered_ends(start, change)),
    )


def _from_both_sides(
    asking: Asking, right: ClockTime, offered: Mapping[ClockTime, frozenset[str]]
) -> tuple[WrongChoice, ...]:
    """Return the script's own wrong ends, then as many of those offered as are needed."""
    wrong = [on_dial(each) for each in asking.wrong][: asking.choices - 1]
    while len(wrong) < asking.choices - 1:
        beyond = asking.chance.random() < 0.5
        free = [each for each in offered if each not in wrong]
        side = [each for each in free if _is_beyond(each, right) == beyond] or free
        likely = [each for each in side if offered[each]] or side
        wrong.append(asking.chance.choice(sorted(likely, key=lambda each: each.minutes)))
    return tuple(WrongChoice(time=each, mixups=offered.get(each, frozenset())) for each in wrong)


def _is_beyond(time: ClockTime, right: ClockTime) -> bool:
    return 0 < (time.minutes - right.minutes) % MINUTES_ON_DIAL < MINUTES_ON_DIAL // 2


def _mistaken(question: Question, wrong: ShownTime, step: Step) -> bool:
    start = question.start or question.dial
    likely = {each.time for each in rank(question.dial, step=step, manners=EVERY_MANNER)}
    return on_dial(wrong) in {*wrong_ends(start, question.change_minutes), *likely}


def _miscounted(question: Question, wrong: ShownTime, _step: Step) -> bool:
    start = question.start or question.dial
    return elapsed(start, on_dial(wrong)) in wrong_durations(start, question.dial)


LATER: Final = QuestionKind(
    code="later", label="later", skill="elapsed", again="later", decide=_later, tempting=_mistaken
)
EARLIER: Final = QuestionKind(
    code="earlier", label="earlier", skill="elapsed", again="earlier", decide=_earlier, tempting=_mistaken
)
HOW_LONG: Final = QuestionKind(
    code="how-long",
    label="how long",
    skill="elapsed",
    again="how-long",
    decide=_how_long,
    tempting=_miscounted,
)

"""Later and earlier: what time it is, or was, so many minutes from the clock that is shown."""

from __future__ import annotations

from typing import Final

from caller.clock.elapsed import wrong_ends
from caller.clock.ladder import Step
from caller.clock.spoken import EVERY_MANNER
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


def _later(asking: Asking) -> Question:
    return _moved_on(LATER.code, asking, asking.change_minutes)


def _earlier(asking: Asking) -> Question:
    return _moved_on(EARLIER.code, asking, -asking.change_minutes)


def _moved_on(code: str, asking: Asking, change: int) -> Question:
    """Wrong ends are the script's own, those that a documented mistake gives, then misread dials."""
    start, end = asking.dial, asking.dial.plus(change)
    mistakes = wrong_ends(start, change)
    own = [on_dial(each) for each in asking.wrong]
    rest = [each for each in mistakes if each not in own]
    asking.chance.shuffle(rest)
    wrong = [*own, *rest][: asking.choices - 1]
    if len(wrong) < asking.choices - 1:
        misread = [each.dial for each in wrong_readings(asking, end)]
        wrong += [each for each in misread if each not in wrong][: asking.choices - 1 - len(wrong)]
    return Question(
        kind=code,
        time=end,
        start=start,
        change_minutes=change,
        wrong=tuple(WrongChoice(time=each, mixups=mistakes.get(each, frozenset())) for each in wrong),
    )


def _mistaken(question: Question, wrong: ShownTime, step: Step) -> bool:
    start = question.start or question.dial
    likely = {each.time for each in rank(question.dial, step=step, manners=EVERY_MANNER)}
    return on_dial(wrong) in {*wrong_ends(start, question.change_minutes), *likely}


LATER: Final = QuestionKind(
    code="later", label="later", skill="elapsed", again="later", decide=_later, tempting=_mistaken
)
EARLIER: Final = QuestionKind(
    code="earlier", label="earlier", skill="elapsed", again="earlier", decide=_earlier, tempting=_mistaken
)

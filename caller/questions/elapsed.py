"""Later and earlier, and how long: so many minutes from the clock that is shown, or from one to another.

Mistakes with these sums mostly fall short of the right end and beyond the right length. What stands beside
the right answer is therefore drawn so that neither side, nor any other surface, gives it away.
"""

from __future__ import annotations

from typing import Final

from caller.clock.elapsed import WRONG_WAY, elapsed, wrong_durations, wrong_ends
from caller.clock.fair import drawn, duration_partners, end_partners
from caller.clock.ladder import Step
from caller.clock.spoken import EVERY_MANNER
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

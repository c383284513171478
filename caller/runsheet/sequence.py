"""Say a decided lesson, and what is led beside it: composed, then put in words; nothing is decided here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from types import MappingProxyType

from caller.clock.wrong import MINUTE_MARK_DEG
from caller.deciding import DecidedLesson, DecidedRound
from caller.deciding.circumstances import Circumstances, conditions_of
from caller.deciding.decide import decide
from caller.hall.adapt import DEFAULT_DELIVERY, Delivery
from caller.lesson import Lesson
from caller.moves.pairs import Conditions
from caller.runsheet import Call, RunSheet, VoicePlan
from caller.runsheet.counting import with_claps
from caller.runsheet.movement import with_beats
from caller.runsheet.opening_and_end import before_the_lesson, closing, opening, worked_example
from caller.runsheet.reckoning import how_it_is_done
from caller.runsheet.rounds import facts_of, reason_again, round_calls
from caller.runsheet.sayings import Draft
from caller.runsheet.talk import Talk, plain_line


def make_run_sheet(
    lesson: Lesson,
    *,
    delivery: Delivery = DEFAULT_DELIVERY,
    conditions: Conditions | None = None,
    confused: Mapping[str, float] = MappingProxyType({}),
    minimum_difference_deg: float = MINUTE_MARK_DEG,
) -> RunSheet:
    """Return a lesson decided and said; the same lesson gives the same run sheet.

    Parameters
    ----------
    delivery
        How the caller speaks in this hall.
    conditions
        What limits the moves; the lesson's own space, shoes and floor if left out.
    confused
        How much this class shows each mix-up, from 0 to 1.
    minimum_difference_deg
        The smallest difference between two dials that the last row can tell.

    Raises
    ------
    ScriptError
        If a round cannot be played as it is written.
    UserError
        If no moves fit the hall and the class.
    """
    given = Circumstances(
        conditions=conditions or conditions_of(lesson),
        confused=confused,
        minimum_difference_deg=minimum_difference_deg,
    )
    return said(decide(lesson, given), delivery=delivery)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetsToLead:
    """A lesson and what is led beside it.

    Attributes
    ----------
    before
        Two calls, each to be said until the teacher goes on: can you hear me, and keep safe.
    again
        The calls that teach each round again, should few have had it. Each bears the number of the round it
        belongs to, and call numbers go on from the lesson's.
    """

    before: RunSheet
    lesson: RunSheet
    again: RunSheet


def said(decided: DecidedLesson, *, delivery: Delivery = DEFAULT_DELIVERY) -> RunSheet:
    """Return the calls of a decided lesson, spoken as its hall needs."""
    return _sheet(decided, delivery, _worded(decided, Talk.of(decided, delivery)), decided.rounds)


def said_to_lead(
    decided: DecidedLesson,
    siblings: Mapping[int, DecidedRound | None],
    *,
    delivery: Delivery = DEFAULT_DELIVERY,
) -> SheetsToLead:
    """Return a decided lesson, what comes before it and what may be put into it, spoken as its hall needs.

    Parameters
    ----------
    siblings
        For the number of each round that can be taught again, one that asks the same again, if there is one;
        as `caller.deciding.again.siblings` gives them.
    """
    asked_again = [each for each in siblings.values() if each is not None]
    talk = Talk.of(decided, delivery)
    before = talk.worded(before_the_lesson(decided, two_loudspeakers=delivery.two_loudspeakers))
    lesson = _worded(decided, talk)
    again = talk.worded(_again(decided, siblings), first=len(lesson) + 1)
    return SheetsToLead(
        before=_sheet(decided, delivery, before, ()),
        lesson=_sheet(decided, delivery, lesson, decided.rounds),
        again=_sheet(decided, delivery, again, asked_again),
    )


def _worded(decided: DecidedLesson, talk: Talk) -> tuple[Call, ...]:
    """Return the calls of a lesson in words, with those that count by ear where it wants them."""
    calls = talk.worded(_from_welcome_to_close(decided))
    return with_claps(calls, partial(plain_line, talk.first)) if decided.lesson.count_by_ear else calls


def _from_welcome_to_close(decided: DecidedLesson) -> Iterator[Draft]:
    reckoned = tuple(how_it_is_done(decided))
    yield from opening(decided)
    # A class that has been led before is soon on the move: one example is enough for it.
    if decided.example is not None and not (decided.greeted and reckoned):
        yield from worked_example(decided.example)
    yield from reckoned
    for each in (decided.practice, *decided.rounds):
        if each is not None:
            yield from round_calls(decided, each)
    yield from closing(decided)


def _again(decided: DecidedLesson, siblings: Mapping[int, DecidedRound | None]) -> Iterator[Draft]:
    """Yield, for each round, its clock read once more, slowly, and then the same mix-up on another clock."""
    for number, sibling in siblings.items():
        yield from reason_again(decided.rounds[number - 1])
        if sibling is not None:
            yield from round_calls(decided, sibling)


def _sheet(
    decided: DecidedLesson, delivery: Delivery, calls: Iterable[Call], rounds: Iterable[DecidedRound]
) -> RunSheet:
    lesson = decided.lesson
    return RunSheet(
        title=lesson.title,
        class_name=lesson.class_name,
        language=lesson.language,
        seed=lesson.seed,
        voice=voice_plan(lesson, delivery),
        calls=with_beats(lesson, calls),
        rounds=tuple(facts_of(decided, each) for each in rounds),
        quiet_gate_s=lesson.quiet_gate_seconds,
    )


def voice_plan(lesson: Lesson, delivery: Delivery) -> VoicePlan:
    """Return how the lesson is spoken: the script's own voice, else what the hall needs."""
    return VoicePlan(
        rate_wpm=lesson.voice.rate_wpm or delivery.rate_wpm,
        name=lesson.voice.name or None,
        attention_s=delivery.tone_length_s,
        masked_db=delivery.masked_db,
        stillness_db=delivery.stillness_db,
        cue_over_voice_db=delivery.cue_over_voice_db,
        two_loudspeakers=delivery.two_loudspeakers,
    )

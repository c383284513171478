"""Say a decided lesson: calls in words, in order; nothing is decided here."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from caller.clock.wrong import MINUTE_MARK_DEG
from caller.deciding import DecidedLesson
from caller.deciding.circumstances import Circumstances, conditions_of
from caller.deciding.decide import decide
from caller.hall.adapt import DEFAULT_DELIVERY, Delivery
from caller.lesson import Lesson
from caller.moves.pairs import Conditions
from caller.runsheet import RunSheet, VoicePlan, numbered
from caller.runsheet.movement import with_beats
from caller.runsheet.opening_and_end import closing, opening, worked_example
from caller.runsheet.reckoning import how_it_is_done
from caller.runsheet.rounds import facts_of, round_calls
from caller.runsheet.talk import Setting


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


def said(decided: DecidedLesson, *, delivery: Delivery = DEFAULT_DELIVERY) -> RunSheet:
    """Return the calls of a decided lesson, spoken as its hall needs."""
    lesson = decided.lesson
    setting = Setting.of(lesson, delivery)
    drafts = list(opening(setting, decided))
    if decided.example is not None:
        reckoned = tuple(how_it_is_done(setting, decided))
        # A class that has been led before is soon on the move: one example is enough for it.
        if not (decided.greeted and reckoned):
            drafts += worked_example(setting, decided.example)
        drafts += reckoned
    if decided.practice is not None:
        drafts += round_calls(setting, decided.practice)
    for each in decided.rounds:
        drafts += round_calls(setting, each)
    drafts += closing(setting)
    return RunSheet(
        title=lesson.title,
        class_name=lesson.class_name,
        language=lesson.language,
        seed=lesson.seed,
        voice=voice_plan(lesson, delivery),
        calls=with_beats(lesson, numbered(drafts, lesson.numerals)),
        rounds=tuple(facts_of(lesson.step, each) for each in decided.rounds),
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
    )

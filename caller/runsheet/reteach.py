"""Teaching a round again: the same clock read slowly, and the same mix-up offered on a sibling clock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from caller.clock.wrong import MINUTE_MARK_DEG
from caller.deciding.again import siblings
from caller.deciding.circumstances import Circumstances, conditions_of
from caller.deciding.lesson import decide
from caller.hall.adapt import DEFAULT_DELIVERY, Delivery
from caller.lesson.model import Lesson
from caller.moves.pairs import Conditions
from caller.runsheet.draft import Draft, numbered
from caller.runsheet.model import Call, Line, RoundFacts, RunSheet
from caller.runsheet.movement import with_beats
from caller.runsheet.rounds import facts_of, round_calls
from caller.runsheet.setting import Setting
from caller.runsheet.talk import SLOW_PAUSE


def teaching_again(
    lesson: Lesson,
    run_sheet: RunSheet,
    *,
    delivery: Delivery = DEFAULT_DELIVERY,
    conditions: Conditions | None = None,
    confused: Mapping[str, float] = MappingProxyType({}),
    minimum_difference_deg: float = MINUTE_MARK_DEG,
) -> RunSheet:
    """Return the calls that teach each round of `run_sheet` again, should few have had it.

    Each call bears the number of the round it belongs to, and call numbers go on from the lesson's. The
    first call of a round reads its clock once more, slowly; those after it offer the same mix-up on another
    clock, where the step has one. A round without wrong answers has no calls here. The keyword arguments are
    those that `run_sheet` was made with.
    """
    given = Circumstances(
        conditions=conditions or conditions_of(lesson),
        confused=confused,
        minimum_difference_deg=minimum_difference_deg,
    )
    setting = Setting.of(lesson, delivery)
    about = {facts.round: facts for facts in run_sheet.rounds}
    drafts: list[Draft] = []
    facts: list[RoundFacts] = []
    for number, sibling in siblings(lesson, decide(lesson, given), given).items():
        drafts.append(_slowly(setting, run_sheet.calls, about[number]))
        if sibling is not None:
            drafts += (replace(draft, round=number) for draft in round_calls(setting, sibling))
            facts.append(replace(facts_of(lesson.step, sibling), round=number))
    last = len(run_sheet.calls)
    carried = with_beats(lesson, numbered(drafts, lesson.numerals))
    calls = tuple(replace(call, number=last + call.number) for call in carried)
    return replace(run_sheet, calls=calls, rounds=tuple(facts))


def _slowly(setting: Setting, calls: Sequence[Call], about: RoundFacts) -> Draft:
    """Return the reason of a round once more, with time to look between its sentences."""
    told = next(call for call in calls if call.round == about.round and call.kind == "reason")
    pause_s = round(SLOW_PAUSE * setting.talk.delivery.sentence_pause_s, 2)
    lines: tuple[Line, ...] = (
        setting.talk.line("reteach.again", pause=SLOW_PAUSE),
        *(replace(line, pause_s=max(line.pause_s, pause_s)) for line in told.lines),
    )
    board = replace(told.board, lanes=(), answer=None)
    return Draft(
        kind="reason", part="reteach", round=about.round, lines=setting.talk.called(lines), board=board
    )

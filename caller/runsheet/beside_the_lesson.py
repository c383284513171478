"""What is led beside a lesson: sound check and safety points before it, and teaching a round again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from caller.clock.wrong import MINUTE_MARK_DEG
from caller.deciding.again import siblings
from caller.deciding.circumstances import Circumstances, conditions_of
from caller.deciding.decide import decide
from caller.hall.adapt import DEFAULT_DELIVERY, Delivery
from caller.lesson import Lesson
from caller.moves.pairs import Conditions
from caller.runsheet import Board, Call, Countdown, Draft, Line, RoundFacts, RunSheet, numbered
from caller.runsheet.movement import with_beats
from caller.runsheet.opening_and_end import safety_points
from caller.runsheet.rounds import facts_of, round_calls
from caller.runsheet.sequence import voice_plan
from caller.runsheet.talk import SLOW_PAUSE, Setting

_COUNTED_S = 4
_AGAIN_S = 3.0  # quiet before it is said once more


def prelude(lesson: Lesson, *, delivery: Delivery = DEFAULT_DELIVERY) -> RunSheet:
    """Return two calls, each to be said until the teacher goes on: can you hear me, and keep safe."""
    setting = Setting.of(lesson, delivery)
    return RunSheet(
        title=lesson.title,
        class_name=lesson.class_name,
        language=lesson.language,
        seed=lesson.seed,
        voice=voice_plan(lesson, delivery),
        calls=numbered([_sound_check(setting), replace(safety_points(setting), hold_s=_AGAIN_S)]),
        rounds=(),
    )


def _sound_check(setting: Setting) -> Draft:
    talk = setting.talk
    question = talk.line("sound-check.question")
    board = Board(
        layout="points",
        title=talk.first.say("sound-check.title").written,
        points=(
            question.written,
            talk.first.say("sound-check.keys").written,
            talk.first.say("sound-check.together").written,
        ),
        move=setting.resting().move,
    )
    lines = (talk.with_tone(question, "sound-check"),)
    # Numbers and beeps, so that one sees whether the loudspeaker keeps up with the picture.
    counted = Countdown(seconds=_COUNTED_S, beeps=_COUNTED_S, tick=None)
    return Draft(
        kind="sound-check", part="opening", lines=lines, board=board, countdown=counted, hold_s=_AGAIN_S
    )


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

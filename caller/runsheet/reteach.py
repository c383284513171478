"""Teaching a round again: the same clock read slowly, and the same mix-up offered on a sibling clock."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from caller.clock.ladder import step, times_at
from caller.clock.times import ClockError, ClockTime, DayTime
from caller.clock.wrong import MINUTE_MARK_DEG, rank
from caller.errors import ScriptError
from caller.hall.adapt import DEFAULT_DELIVERY, Delivery
from caller.lesson.model import Lesson, QuestionKind, Round
from caller.moves.pairs import Conditions
from caller.runsheet.draft import Draft, numbered
from caller.runsheet.model import Call, Line, RoundFacts, RunSheet
from caller.runsheet.questions.base import Asked
from caller.runsheet.rounds import RoundPlan, facts_of, round_calls
from caller.runsheet.sequence import ask_round, setting_of
from caller.runsheet.setting import Setting
from caller.runsheet.sides import side_sequence
from caller.runsheet.talk import SLOW_PAUSE

_TRIES = 40  # clocks looked at for a sibling
_READ_OFF_THE_DIAL: tuple[QuestionKind, ...] = ("read", "find", "is-it-so")


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
    setting = setting_of(
        lesson,
        delivery=delivery,
        conditions=conditions,
        confused=confused,
        minimum_difference_deg=minimum_difference_deg,
    )
    drafts: list[Draft] = []
    facts: list[RoundFacts] = []
    shown = [each.time for each in run_sheet.rounds]
    for about, written in zip(run_sheet.rounds, lesson.rounds, strict=True):
        if not about.wrong:
            continue
        drafts.append(_slowly(setting, run_sheet.calls, about))
        plan = _sibling(setting, run_sheet.rounds, about, written, shown)
        if plan is not None:
            shown.append(plan.asked.time)
            drafts += (replace(draft, round=about.round) for draft in round_calls(setting, plan))
            facts.append(replace(facts_of(setting, plan), round=about.round))
    last = len(run_sheet.calls)
    calls = tuple(replace(call, number=last + call.number) for call in numbered(drafts))
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


def _sibling(
    setting: Setting,
    facts: Sequence[RoundFacts],
    about: RoundFacts,
    written: Round,
    shown: Sequence[ClockTime],
) -> RoundPlan | None:
    """Return a round on another clock that offers one of the mix-ups that `about` offered."""
    wanted = frozenset().union(*about.mixups)
    for asked, kind in _asked_with(setting, about, written, shown, wanted):
        count = len(asked.choices)
        return RoundPlan(
            section="reteach",
            number=None,
            total=0,
            question=kind,
            asked=asked,
            side=side_sequence(setting.streams.of("sides", f"reteach-{about.round}"), count, 1)[0],
            moves=_moves(facts, about)[:count],
            think_s=about.think_s,
            catch_up="none",
        )
    return None


def _moves(facts: Sequence[RoundFacts], about: RoundFacts) -> tuple[str, ...]:
    """Return the moves of the like round that is furthest off: they suit this class and were rested from."""
    alike = [each for each in facts if each.part == about.part and each.moves] or [about]
    return max(alike, key=lambda each: abs(each.round - about.round)).moves


def _asked_with(
    setting: Setting,
    about: RoundFacts,
    written: Round,
    shown: Sequence[ClockTime],
    wanted: frozenset[str],
) -> Iterator[tuple[Asked, QuestionKind]]:
    """Yield questions about other clocks in which a wrong reading comes from a wanted mix-up."""
    kind: QuestionKind = "read" if written.kind in _READ_OFF_THE_DIAL else written.kind
    random = setting.streams.of("time", f"reteach-{about.round}")
    times = [time for time in times_at(step(setting.lesson.step)) if time not in shown]
    for time in random.sample(times, min(len(times), _TRIES)):
        dial: ClockTime | DayTime = time
        if kind == "day-part":
            dial = DayTime.from_minutes(time.minutes + 720)
        wrong = _wrong_of(setting, time, wanted) if kind == "read" else ()
        if kind == "read" and wanted and not wrong:
            continue
        each = Round(kind=kind, time=dial, wrong=wrong, change_minutes=written.change_minutes, choices=2)
        try:
            asked = ask_round(setting, each, f"reteach-{about.round}", dial, used=())
        except (ClockError, ScriptError):
            continue
        if not wanted or any(choice.mixups & wanted for choice in asked.choices):
            yield asked, kind


def _wrong_of(setting: Setting, time: ClockTime, wanted: frozenset[str]) -> tuple[ClockTime, ...]:
    """Return the best wrong reading of `time` that a wanted mix-up gives, if one may be offered."""
    ranked = rank(
        time,
        step=step(setting.lesson.step),
        confused=setting.confused,
        minimum_difference_deg=setting.minimum_difference_deg,
        registers=set(setting.talk.registers),
    )
    alike = [each for each in ranked if each.mixups & wanted]
    # The reading that most of the same mix-ups explain asks the same question again.
    best = max(alike, key=lambda each: len(each.mixups & wanted) / len(each.mixups | wanted), default=None)
    return () if best is None else (best.time,)

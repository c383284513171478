from __future__ import annotations

import json

import pytest

from caller.clock import ClockTime
from caller.clock.mixups import explained_by
from caller.deciding.again import siblings
from caller.deciding.decide import decide
from caller.lesson import Lesson, Round
from caller.lesson.library import read_lesson, ready_lessons
from caller.runsheet.forms import as_json, from_dict
from caller.runsheet.sequence import SheetsToLead, make_run_sheet, said_to_lead

LESSON = Lesson(
    title="Quarters",
    class_name="Terns",
    step="quarters",
    rounds=tuple(Round(time=ClockTime.parse(time)) for time in ("3:15", "7:45", "4:30", "9:00")),
)


def to_lead(lesson: Lesson) -> SheetsToLead:
    decided = decide(lesson)
    return said_to_lead(decided, siblings(lesson, decided))


def test_the_lesson_is_the_one_that_is_shown_and_exported() -> None:
    assert to_lead(LESSON).lesson == make_run_sheet(LESSON)


def test_before_the_lesson_the_sound_is_checked_and_all_are_kept_safe() -> None:
    before = to_lead(LESSON).before
    assert [(call.number, call.kind) for call in before.calls] == [(1, "sound-check"), (2, "safety")]
    assert all(call.hold_s > 0 for call in before.calls)  # quiet before each is said once more


def test_every_round_with_a_wrong_answer_has_its_slow_reading_and_the_same_mixup_once_more() -> None:
    sheets = to_lead(LESSON)
    run_sheet, again = sheets.lesson, sheets.again
    asked_again = 0
    for about in run_sheet.rounds:
        calls = [call for call in again.calls if call.round == about.round]
        assert [call.kind for call in calls] == [
            "reason", "ready", "question", "choices", "decide", "move", "time-up", "answer", "reason",
        ]  # fmt: skip
        assert {call.part for call in calls} == {"reteach"}
        (sibling,) = (facts for facts in again.rounds if facts.round == about.round)
        assert sibling.time != about.time
        offered = frozenset[str]().union(*about.mixups)
        asked_again += bool(offered)
        assert not offered or sibling.mixups[0] & offered
        # The rules themselves say so too, not only the label.
        assert explained_by(sibling.time, sibling.wrong[0], ["analogue", "digital"]) == sibling.mixups[0]
    assert asked_again  # a reading beside which no mix-up leads has none to be asked again


def test_the_slow_reading_says_the_same_reason_with_longer_pauses_and_its_cues() -> None:
    sheets = to_lead(LESSON)
    told = next(call for call in sheets.lesson.calls if call.round == 1 and call.kind == "reason")
    slow = next(call for call in sheets.again.calls if call.round == 1)
    assert [line.written for line in slow.lines[1:]] == [line.written for line in told.lines]
    assert [line.cue for line in slow.lines[1:]] == [line.cue for line in told.lines]
    assert all(now.pause_s > then.pause_s for now, then in zip(slow.lines[1:], told.lines, strict=True))
    assert slow.board.lanes == ()


def test_numbers_go_on_from_the_lesson_so_that_no_two_calls_share_one() -> None:
    sheets = to_lead(LESSON)
    run_sheet, again = sheets.lesson, sheets.again
    numbers = [call.number for call in (*run_sheet.calls, *again.calls)]
    assert numbers == list(range(1, len(numbers) + 1))


def test_moves_are_those_that_the_lesson_has_anyway() -> None:
    sheets = to_lead(LESSON)
    assert {facts.moves for facts in sheets.again.rounds} <= {facts.moves for facts in sheets.lesson.rounds}


def test_a_round_without_a_wrong_answer_is_not_taught_again() -> None:
    lesson = Lesson(step="quarters", rounds=(Round(kind="be-the-clock", time=ClockTime(3)),))
    assert to_lead(lesson).again.calls == ()


@pytest.mark.parametrize("name", sorted(ready_lessons()))
def test_every_ready_lesson_can_be_taught_again_and_written_down(name: str) -> None:
    lesson = read_lesson(ready_lessons()[name])
    again = to_lead(lesson).again
    assert from_dict(json.loads(as_json(again))) == again

from __future__ import annotations

import json

import pytest

from caller.clock import ClockTime
from caller.clock.mixups import explained_by
from caller.lesson import Lesson, Round
from caller.lesson.library import read_lesson, ready_lessons
from caller.runsheet.beside_the_lesson import teaching_again
from caller.runsheet.forms import as_json, from_dict
from caller.runsheet.sequence import make_run_sheet

LESSON = Lesson(
    title="Quarters",
    class_name="Terns",
    step="quarters",
    rounds=tuple(Round(time=ClockTime.parse(time)) for time in ("3:15", "7:45", "4:30", "9:00")),
)


def test_every_round_with_a_wrong_answer_has_its_slow_reading_and_the_same_mixup_once_more() -> None:
    run_sheet = make_run_sheet(LESSON)
    again = teaching_again(LESSON, run_sheet)
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
    run_sheet = make_run_sheet(LESSON)
    told = next(call for call in run_sheet.calls if call.round == 1 and call.kind == "reason")
    slow = next(call for call in teaching_again(LESSON, run_sheet).calls if call.round == 1)
    assert [line.written for line in slow.lines[1:]] == [line.written for line in told.lines]
    assert [line.cue for line in slow.lines[1:]] == [line.cue for line in told.lines]
    assert all(now.pause_s > then.pause_s for now, then in zip(slow.lines[1:], told.lines, strict=True))
    assert slow.board.lanes == ()


def test_numbers_go_on_from_the_lesson_so_that_no_two_calls_share_one() -> None:
    run_sheet = make_run_sheet(LESSON)
    again = teaching_again(LESSON, run_sheet)
    numbers = [call.number for call in (*run_sheet.calls, *again.calls)]
    assert numbers == list(range(1, len(numbers) + 1))


def test_moves_are_those_that_the_lesson_has_anyway() -> None:
    run_sheet = make_run_sheet(LESSON)
    pairs = {facts.moves for facts in run_sheet.rounds}
    assert {facts.moves for facts in teaching_again(LESSON, run_sheet).rounds} <= pairs


def test_a_round_without_a_wrong_answer_is_not_taught_again() -> None:
    lesson = Lesson(step="quarters", rounds=(Round(kind="be-the-clock", time=ClockTime(3)),))
    assert teaching_again(lesson, make_run_sheet(lesson)).calls == ()


@pytest.mark.parametrize("name", sorted(ready_lessons()))
def test_every_ready_lesson_can_be_taught_again_and_written_down(name: str) -> None:
    lesson = read_lesson(ready_lessons()[name])
    again = teaching_again(lesson, make_run_sheet(lesson))
    assert from_dict(json.loads(as_json(again))) == again

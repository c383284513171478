from __future__ import annotations

from pathlib import Path

import pytest

from caller.clock import ClockTime
from caller.lesson import Lesson, Round
from caller.live.keeping import OFFERED_FOR_S, LessonRecord, TallyTold, cut_off, give_up, place_to_begin
from caller.planning.staging import Stage
from caller.record import Tally
from caller.record.store import Store

LESSON = Lesson(
    title="Quarters",
    class_name="Terns",
    step="quarters",
    rounds=(Round(time=ClockTime(9, 30), wrong=(ClockTime(10, 30),)), Round(time=ClockTime(7, 45)), Round()),
)
_TO_LEAD = Stage().to_lead(LESSON)
RUN_SHEET, BRANCHES = _TO_LEAD.lesson, _TO_LEAD.again


def led_to(path: Path, kind: str, in_round: int) -> LessonRecord:
    """Lead the lesson up to a call of a round, few having had the first clock; then the power goes."""
    record = LessonRecord(RUN_SHEET, BRANCHES, path=path, clock=lambda: 50_000.0)
    for call in RUN_SHEET.calls:
        record.hear(call)
        if (call.kind, call.round) == ("answer", 1):
            record.tell(TallyTold((1, "round"), Tally(judgement="few")))
        if (call.kind, call.round) == (kind, in_round):
            break
    record.leave_open()
    return record


@pytest.mark.parametrize("kind", ["ready", "choices", "move", "answer", "catch-up"])
def test_it_carries_on_at_the_start_of_the_round_that_was_cut_off(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "record.sqlite3"
    led_to(path, kind, 2)
    cut = cut_off(path, now_s=51_000.0)
    assert cut is not None
    begin = cut.run_sheet.calls[cut.first]
    assert (begin.kind, begin.round, cut.round) == ("ready", 2, 2)
    assert cut.run_sheet == RUN_SHEET
    assert cut.branches == BRANCHES


def test_tallies_up_to_the_last_answered_round_are_there(tmp_path: Path) -> None:
    path = tmp_path / "record.sqlite3"
    led_to(path, "move", 3)
    with Store(path) as store:
        (lesson,) = store.lessons("Terns")
    assert [kept.answer for kept in lesson.rounds] == [facts.answer for facts in RUN_SHEET.rounds[:2]]
    assert [(kept.number, kept.tally) for kept in lesson.rounds] == [(1, Tally(judgement="few")), (2, None)]


def test_carrying_on_goes_on_in_the_same_lesson_of_the_record(tmp_path: Path) -> None:
    path = tmp_path / "record.sqlite3"
    led_to(path, "move", 2)
    cut = cut_off(path, now_s=51_000.0)
    assert cut is not None
    record = LessonRecord(cut.run_sheet, cut.branches, path=path, number=cut.kept.number, began_s=50_000.0)
    for call in cut.run_sheet.calls[cut.first :]:
        record.hear(call)
    assert record.end("ended")
    with Store(path) as store:
        (lesson,) = store.lessons("Terns")
        assert store.unfinished() is None
    assert [kept.number for kept in lesson.rounds] == [1, 2, 3]


def test_calls_that_were_changed_are_carried_on_with_as_they_stood(tmp_path: Path) -> None:
    path = tmp_path / "record.sqlite3"
    record = LessonRecord(RUN_SHEET, BRANCHES, path=path, clock=lambda: 50_000.0)
    taught = tuple(call for call in BRANCHES.calls if call.round == 1)
    last = max(place for place, call in enumerate(RUN_SHEET.calls) if call.round == 1)
    changed = (*RUN_SHEET.calls[: last + 1], *taught, *RUN_SHEET.calls[last + 1 :])
    record.change(changed)
    record.hear(taught[4])
    record.leave_open()
    cut = cut_off(path, now_s=50_500.0)
    assert cut is not None
    assert cut.run_sheet.calls == changed
    assert cut.run_sheet.calls[cut.first] == taught[0]


def test_a_lesson_of_another_day_or_one_given_up_is_not_offered(tmp_path: Path) -> None:
    path = tmp_path / "record.sqlite3"
    led_to(path, "move", 2)
    assert cut_off(path, now_s=50_000.0 + OFFERED_FOR_S + 1) is None
    cut = cut_off(path, now_s=50_010.0)
    assert cut is not None
    give_up(cut.kept.number, path, now_s=50_020.0)
    assert cut_off(path, now_s=50_030.0) is None


def test_a_record_that_cannot_be_read_offers_nothing(tmp_path: Path) -> None:
    path = tmp_path / "record.sqlite3"
    path.write_bytes(b"spilt tea" * 1000)
    assert cut_off(path) is None


def test_in_the_opening_and_the_close_it_carries_on_at_the_call_itself() -> None:
    calls = RUN_SHEET.calls
    assert place_to_begin(calls, 0) == 0
    assert place_to_begin(calls, 3) == 2
    assert place_to_begin(calls, len(calls)) == len(calls) - 1

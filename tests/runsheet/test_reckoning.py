"""What is said of lengths of time and of the halves of the day is true, heard by a reckoning of its own."""

from __future__ import annotations

import datetime
import itertools
import re
from typing import Final

import pytest

from caller.languages import CODES
from caller.lesson.library import lesson_from_text
from caller.runsheet import Call, RunSheet
from caller.runsheet.sequence import make_run_sheet

_SPANS: Final = [("8:30", 150), ("9:45", 135), ("11:40", 35), ("7:05", 20), ("10:00", 120), ("12:55", 5)]


def _sheet(language: str, rounds: str) -> RunSheet:
    return make_run_sheet(lesson_from_text(f'step = "elapsed"\nlanguage = "{language}"\n{rounds}'))


def _of_kind(sheet: RunSheet, kind: str) -> list[Call]:
    return [call for call in sheet.calls if call.kind == kind and call.part != "example" and call.round]


def _length(shown: str) -> datetime.timedelta:
    """Read "2 h 30 min"."""
    found = re.fullmatch(r"(?:(\d+) h)? ?(?:(\d+) min)?", shown)
    assert found
    return datetime.timedelta(hours=int(found[1] or 0), minutes=int(found[2] or 0))


@pytest.mark.parametrize("language", CODES)
def test_a_length_is_what_lies_between_the_two_dials(language: str) -> None:
    rounds = "\n".join(
        f'[[round]]\nkind = "how-long"\ntime = "{time}"\nchange_minutes = {minutes}'
        for time, minutes in _SPANS
    )
    sheet = _sheet(language, rounds)
    answers = _of_kind(sheet, "answer")
    assert len(answers) == len(_SPANS)
    for call in answers:
        first, last = (dial.time for dial in call.board.dials)
        assert first
        assert last
        begin = datetime.timedelta(hours=first.hour % 12, minutes=first.minute)
        end = datetime.timedelta(hours=last.hour % 12, minutes=last.minute)
        between = (end - begin) % datetime.timedelta(hours=12)
        right = next(lane for lane in call.board.lanes if lane.side == call.board.answer)
        assert _length(right.numeral) == between
        wrong = [lane for lane in call.board.lanes if lane.side != call.board.answer]
        assert all(_length(lane.numeral) != between for lane in wrong)


def test_the_mistake_of_the_study_is_offered_and_told() -> None:
    # Kamii and Russell 2012 (JRME 43:296): from 8:30 to 11:00 children say three hours thirty minutes.
    asked = '[[round]]\nkind = "how-long"\ntime = "8:30"\nchange_minutes = 150\n'
    heard = {
        line.written
        for seed in range(12)
        for call in _of_kind(_sheet("en-GB", f"seed = {seed}\n{4 * asked}"), "reason")
        for line in call.lines
    }
    assert "Until nine o'clock it is thirty minutes." in heard
    assert "Then until eleven o'clock it is two hours." in heard
    assert "Together: two hours thirty minutes." in heard
    assert "Counting the hours and adding the minutes gives three hours thirty minutes." in heard


@pytest.mark.parametrize("language", CODES)
def test_noon_and_midnight_are_never_twelve_am_or_pm(language: str) -> None:
    # NIST, Time and Frequency FAQ: 12 a.m. and 12 p.m. are wrong and should not be used.
    for time, other in itertools.permutations(("0:00", "12:00 pm")):
        sheet = _sheet(language, f'[[round]]\nkind = "half-of-day"\ntime = "{time}"')
        shown = {lane.numeral for call in sheet.calls for lane in call.board.lanes if call.round}
        said = " ".join(line.speech for call in sheet.calls for line in call.lines if call.round)
        assert len(shown) == 2, other
        assert not any("m." in numeral for numeral in shown)
        assert "AM" not in said
        assert "PM" not in said


def test_english_in_both_countries_says_am_and_pm() -> None:
    # National curriculum in England, Year 3, and CCSS 2.MD.C.7 both name a.m. and p.m.
    for language in ("en-GB", "en-US"):
        sheet = _sheet(language, '[[round]]\nkind = "half-of-day"\ntime = "8:15 am"')
        (answer,) = _of_kind(sheet, "answer")
        right = next(lane for lane in answer.board.lanes if lane.side == answer.board.answer)
        assert right.numeral == "a.m."
        assert {lane.numeral for lane in answer.board.lanes} == {"a.m.", "p.m."}


@pytest.mark.parametrize("time", ["8:15 am", "19:30", "12:00 pm"])
def test_the_sky_does_not_give_the_half_of_the_day_away(time: str) -> None:
    sheet = _sheet("en-GB", f'[[round]]\nkind = "half-of-day"\ntime = "{time}"')
    for call in sheet.calls:
        if call.round and call.kind in ("question", "choices", "decide", "move", "time-up"):
            assert call.board.day_time is None

"""Elapsed time and times of day against published items with their answers."""

from __future__ import annotations

import pytest

from caller.clock import ClockTime
from caller.clock.beyond_dial import day_part, elapsed, on_day, wrong_durations

AT = ClockTime.parse


def test_kamii_and_russell_2012_item_with_its_frequent_wrong_answer() -> None:
    # Kamii & Russell 2012, JRME 43(3):296-315: from 8:30 to 11:00 many children in grades 2 to 5 answered
    # 3 h 30 min; right is 2 h 30 min.
    assert elapsed(AT("8:30"), AT("11:00")) == 2 * 60 + 30
    assert wrong_durations(AT("8:30"), AT("11:00"))[3 * 60 + 30] == {"whole-hours-by-name"}


@pytest.mark.parametrize(
    ("time", "half", "day_time", "part"),
    [
        # A primary school's past-paper compilation, questions 9 and 11 (the first answer is printed there,
        # the others were worked out).
        ("7:15", "pm", "19:15", "evening"),
        ("11:10", "pm", "23:10", "night"),
        ("6:50", "am", "06:50", "morning"),
        ("3:10", "pm", "15:10", "afternoon"),
    ],
)
def test_past_paper_items_on_the_24_hour_clock(time: str, half: str, day_time: str, part: str) -> None:
    assert half in ("am", "pm")
    found = on_day(AT(time), "am" if half == "am" else "pm")
    assert str(found) == day_time
    assert day_part(found) == part
    assert found.dial == AT(time)


def test_past_paper_item_an_hour_after_quarter_past_seven_in_the_evening() -> None:
    # The same compilation, question 10 (answer worked out).
    assert str(on_day(AT("7:15"), "pm").plus(60)) == "20:15"

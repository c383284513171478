"""Parts of the day and the 24-hour clock."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.clock.dayparts import SOURCES, day_part, half, on_day, wrong_day_times, wrong_dials
from caller.clock.times import ALL_TIMES, ClockTime, DayTime

day_times = st.builds(DayTime.from_minutes, st.integers(0, 1439))


@given(day_times)
def test_a_time_of_day_is_its_dial_in_its_half_of_the_day(time: DayTime) -> None:
    assert on_day(time.dial, half(time)) == time


def test_twelve_oclock_begins_each_half() -> None:
    assert on_day(ClockTime(12, 0), "am") == DayTime(0, 0)
    assert on_day(ClockTime(12, 0), "pm") == DayTime(12, 0)
    assert on_day(ClockTime(12, 30), "am") == DayTime(0, 30)
    assert [half(DayTime(hour)) for hour in (0, 11, 12, 23)] == ["am", "am", "pm", "pm"]


@pytest.mark.parametrize(
    ("time", "part"),
    [
        ("0:00", "midnight"),
        ("0:01", "night"),
        ("4:59", "night"),
        ("5:00", "morning"),
        ("11:59", "morning"),
        ("12:00", "noon"),
        ("12:01", "afternoon"),
        ("17:59", "afternoon"),
        ("18:00", "evening"),
        ("20:59", "evening"),
        ("21:00", "night"),
        ("23:59", "night"),
    ],
)
def test_each_part_of_the_day_has_its_edges(time: str, part: str) -> None:
    assert day_part(DayTime.parse(time)) == part


def test_ten_is_taken_away_only_where_that_gives_an_hour_of_the_dial() -> None:
    assert wrong_dials(DayTime(13, 5)) == {ClockTime(3, 5): {"took-away-ten"}}
    assert wrong_dials(DayTime(22, 5)) == {ClockTime(12, 5): {"took-away-ten"}}
    assert wrong_dials(DayTime(23, 5)) == {}
    assert wrong_dials(DayTime(12, 5)) == {}


def test_wrong_times_of_day_are_kept_with_their_rules() -> None:
    assert wrong_day_times(DayTime(19, 20)) == {
        DayTime(7, 20): {"other-half-of-the-day"},
        DayTime(17, 20): {"added-ten"},
    }
    assert wrong_day_times(DayTime(7, 20)) == {DayTime(19, 20): {"other-half-of-the-day"}}


@given(day_times)
def test_a_wrong_time_of_day_is_never_right(time: DayTime) -> None:
    wrong = wrong_day_times(time)
    assert wrong
    assert time not in wrong
    assert time.dial not in wrong_dials(time)
    assert all(names <= SOURCES.keys() for names in (*wrong.values(), *wrong_dials(time).values()))


def test_every_dial_time_comes_twice_a_day() -> None:
    days = {on_day(time, which) for time in ALL_TIMES for which in ("am", "pm")}
    assert len(days) == 1440

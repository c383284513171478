"""Times of a dial and of a day. Where the hands stand, and reading them back."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.clock import (
    ALL_TIMES,
    ClockError,
    ClockTime,
    DayTime,
    Hands,
    angle_between,
    arms_can_show,
    hands,
    smallest_difference_deg,
)


def test_a_time_is_written_the_way_it_is_read() -> None:
    assert [str(ClockTime.parse(text)) for text in ("4:40", "04:05", "12:00")] == ["4:40", "4:05", "12:00"]
    assert [str(DayTime.parse(text)) for text in ("16:40", "6:50", "00:00")] == ["16:40", "06:50", "00:00"]


@given(st.integers())
def test_minutes_past_twelve_wrap_round_the_dial(minutes: int) -> None:
    time = ClockTime.from_minutes(minutes)
    assert time.minutes == minutes % 720
    assert ClockTime.parse(str(time)) == time


@given(st.integers())
def test_minutes_past_midnight_wrap_round_the_day(minutes: int) -> None:
    time = DayTime.from_minutes(minutes)
    assert time.minutes == minutes % 1440
    assert DayTime.parse(str(time)) == time
    assert time.dial == ClockTime.from_minutes(minutes)


@given(st.sampled_from(ALL_TIMES), st.integers(-2000, 2000))
def test_going_on_and_back_again_ends_at_the_same_time(time: ClockTime, minutes: int) -> None:
    assert time.plus(minutes).plus(-minutes) == time


def test_all_times_are_the_720_in_order_from_twelve() -> None:
    assert len(set(ALL_TIMES)) == 720
    assert sorted(ALL_TIMES) == list(ALL_TIMES)
    assert (str(ALL_TIMES[0]), str(ALL_TIMES[59]), str(ALL_TIMES[-1])) == ("12:00", "12:59", "11:59")
    assert ClockTime(12, 5) < ClockTime(1)
    assert ClockTime(1) >= ClockTime(12, 59)


def test_a_time_cannot_be_changed() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        ClockTime(4, 40).hour = 5  # type: ignore[misc]


def test_a_day_goes_on_past_midnight() -> None:
    assert DayTime(23, 50).plus(20) == DayTime(0, 10)
    assert DayTime(12, 59) < DayTime(13)


NOT_WRITTEN = '"{}" is not written as a time: write the hour, a colon and two digits, such as 4:40.'


@pytest.mark.parametrize(
    "text", ["4.70", "4:7", "4", "", "4:400", "-4:40", "4: 40", " 4:40", "4:40\n", "“4:40”", "4：40", "٤:٤٠"]
)
def test_what_is_not_written_as_a_time_is_refused_kindly(text: str) -> None:
    with pytest.raises(ClockError) as caught:
        ClockTime.parse(text)
    assert str(caught.value) == NOT_WRITTEN.format(text)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("25:00", '"25:00" is not on a dial: the hours are 1 to 12.'),
        ("16:40", '"16:40" is a time of the 24-hour clock; on a dial write 4:40.'),
        ("0:05", '"0:05" is a time of the 24-hour clock; on a dial write 12:05.'),
        ("4:70", '"4:70" is not a time: the minutes go from 00 to 59.'),
    ],
)
def test_what_no_dial_shows_is_refused_with_what_to_write(text: str, message: str) -> None:
    with pytest.raises(ClockError) as caught:
        ClockTime.parse(text)
    assert str(caught.value) == message


def test_what_no_day_has_is_refused() -> None:
    with pytest.raises(ClockError) as caught:
        DayTime.parse("24:00")
    assert str(caught.value) == '"24:00" is not on a 24-hour clock: the hours are 0 to 23.'
    with pytest.raises(ClockError) as caught:
        DayTime(24)
    assert str(caught.value) == "A day has the hours 0 to 23, not 24."
    with pytest.raises(ClockError) as caught:
        DayTime(3, 60)
    assert str(caught.value) == "An hour has the minutes 0 to 59, not 60."


@pytest.mark.parametrize(
    ("hour", "minute", "message"),
    [
        (0, 5, "A dial has the hours 1 to 12, not 0."),
        (13, 5, "A dial has the hours 1 to 12, not 13."),
        (4, 60, "An hour has the minutes 0 to 59, not 60."),
        (4, -1, "An hour has the minutes 0 to 59, not -1."),
    ],
)
def test_numbers_off_the_dial_are_refused(hour: int, minute: int, message: str) -> None:
    with pytest.raises(ClockError) as caught:
        ClockTime(hour, minute)
    assert str(caught.value) == message


times = st.sampled_from(ALL_TIMES)


def test_the_hour_hand_is_always_moved_on_by_the_minutes() -> None:
    assert hands(ClockTime(4, 40)) == Hands(140.0, 240.0)
    assert hands(ClockTime(12, 0)) == Hands(0.0, 0.0)
    assert hands(ClockTime(11, 59)) == Hands(359.5, 354.0)


@given(times, times, times)
def test_the_difference_of_two_readings_is_a_distance(a: ClockTime, b: ClockTime, c: ClockTime) -> None:
    assert smallest_difference_deg(a, b) == smallest_difference_deg(b, a)
    assert (smallest_difference_deg(a, b) == 0) == (a == b)
    assert smallest_difference_deg(a, c) <= smallest_difference_deg(a, b) + smallest_difference_deg(b, c)
    assert smallest_difference_deg(a, b) <= 180


def test_the_hand_that_differs_more_makes_the_difference() -> None:
    assert smallest_difference_deg(ClockTime(4, 40), ClockTime(5, 40)) == 30
    assert smallest_difference_deg(ClockTime(4, 40), ClockTime(4, 41)) == 6
    assert smallest_difference_deg(ClockTime(12, 0), ClockTime(11, 55)) == 30


@given(times)
def test_the_angle_between_the_hands_is_at_most_half_a_turn(time: ClockTime) -> None:
    assert 0 <= angle_between(time) <= 180


def test_arms_show_what_has_its_hands_apart() -> None:
    """Told by eye, by standing before a mirror: both arms on one side cover each other, or the face."""
    can = ("12:00", "3:00", "6:00", "9:00", "12:30", "4:40", "8:20", "10:10", "1:50", "12:05", "6:25")
    cannot = ("1:10", "2:15", "4:20", "5:25", "7:35", "8:40", "9:45", "10:50")
    assert all(arms_can_show(ClockTime.parse(time)) for time in can)
    assert not any(arms_can_show(ClockTime.parse(time)) for time in cannot)


@given(st.sampled_from(ALL_TIMES))
def test_what_arms_can_show_they_can_show_in_a_mirror_too(time: ClockTime) -> None:
    assert arms_can_show(time) == arms_can_show(ClockTime.from_minutes(-time.minutes))

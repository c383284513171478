"""Where the hands stand, and reading them back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.clock.hands import (
    Hands,
    angle_between,
    arms_can_show,
    hands,
    mistakable,
    smallest_difference_deg,
    time_from_hands,
)
from caller.clock.times import ALL_TIMES, ClockError, ClockTime

times = st.sampled_from(ALL_TIMES)


def test_the_hour_hand_is_always_moved_on_by_the_minutes() -> None:
    assert hands(ClockTime(4, 40)) == Hands(140.0, 240.0)
    assert hands(ClockTime(12, 0)) == Hands(0.0, 0.0)
    assert hands(ClockTime(11, 59)) == Hands(359.5, 354.0)


def test_every_time_is_read_back_from_its_hands() -> None:
    for time in ALL_TIMES:
        stand = hands(time)
        assert time_from_hands(stand.hour_deg, stand.minute_deg, tolerance_deg=0) == time


@given(times, st.floats(-2.9, 2.9), st.floats(-2.9, 2.9), st.integers(-3, 3))
def test_hands_a_little_off_are_still_read_right(
    time: ClockTime, hour_off_deg: float, minute_off_deg: float, turns: int
) -> None:
    stand = hands(time)
    read = time_from_hands(stand.hour_deg + hour_off_deg + 360 * turns, stand.minute_deg + minute_off_deg)
    assert read == time


def test_hands_that_disagree_show_no_time() -> None:
    # At half past, the hour hand cannot stand on a numeral.
    assert time_from_hands(120, 180) is None
    assert time_from_hands(120, 180, tolerance_deg=15) == ClockTime(4, 30)
    # The dial of 4:40 with its hands exchanged is no time.
    assert time_from_hands(240, 140) is None


def test_the_tolerance_itself_is_inside() -> None:
    assert time_from_hands(140 + 2.5, 240, tolerance_deg=2.5) == ClockTime(4, 40)
    assert time_from_hands(140 + 2.6, 240, tolerance_deg=2.5) is None
    assert time_from_hands(140, 242, tolerance_deg=1.5) is None


def test_a_hand_just_before_twelve_belongs_to_the_full_hour() -> None:
    assert time_from_hands(149.9, 358.8) == ClockTime(5, 0)
    assert time_from_hands(359.9, 358.8) == ClockTime(12, 0)


@pytest.mark.parametrize("angle_deg", [math.nan, math.inf, -math.inf])
def test_an_angle_that_is_no_number_is_refused(angle_deg: float) -> None:
    with pytest.raises(ClockError) as caught:
        time_from_hands(angle_deg, 0)
    assert str(caught.value) == "The angle of a hand is a number of degrees."


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


def test_a_small_error_mistakes_nothing_and_a_larger_one_the_neighbours() -> None:
    assert mistakable(ClockTime(4, 40), error_deg=5.9) == ()
    assert mistakable(ClockTime(4, 40), error_deg=6) == (ClockTime(4, 39), ClockTime(4, 41))
    # Thirty degrees are an hour of the short hand and five minutes of the long one.
    assert ClockTime(5, 40) in mistakable(ClockTime(4, 40), error_deg=30)
    assert ClockTime(12, 0) in mistakable(ClockTime(11, 59), error_deg=6)


@given(times, st.floats(0, 60))
def test_being_mistaken_goes_both_ways(time: ClockTime, error_deg: float) -> None:
    found = mistakable(time, error_deg=error_deg)
    assert time not in found
    assert all(time in mistakable(other, error_deg=error_deg) for other in found[:5])


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

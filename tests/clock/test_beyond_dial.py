"""Parts of the day and the 24-hour clock. Later and earlier, and how the sum goes wrong."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.clock import ALL_TIMES, ClockTime, DayTime
from caller.clock.beyond_dial import (
    HOUR_NOT_CARRIED,
    SOURCES_OF_DAY_PARTS,
    SOURCES_OF_SUMS,
    day_part,
    elapsed,
    half,
    hops,
    on_day,
    wrong_day_times,
    wrong_durations,
    wrong_ends,
)

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
    assert all(names <= SOURCES_OF_DAY_PARTS.keys() for names in wrong.values())


def test_every_dial_time_comes_twice_a_day() -> None:
    days = {on_day(time, which) for time in ALL_TIMES for which in ("am", "pm")}
    assert len(days) == 1440


AT = ClockTime.parse
times = st.sampled_from(ALL_TIMES)


@given(times, times)
def test_the_end_is_as_much_later_as_the_time_that_went_by(start: ClockTime, end: ClockTime) -> None:
    assert start.plus(elapsed(start, end)) == end
    assert 1 <= elapsed(start, end) <= 720


def test_wrong_durations_are_kept_with_their_rules() -> None:
    assert wrong_durations(AT("9:45"), AT("12:00")) == {
        3 * 60 + 45: {"whole-hours-by-name"},
        2 * 60 + 55: {"borrowed-a-hundred"},
        9 * 60 + 45: {"wrong-way"},
    }


def test_what_is_no_number_of_minutes_is_not_offered() -> None:
    # 11:00 less 8:30, by hundreds, leaves "2 h 70".
    assert wrong_durations(AT("8:30"), AT("11:00")) == {
        3 * 60 + 30: {"whole-hours-by-name"},
        9 * 60 + 30: {"wrong-way"},
    }


def test_a_sum_inside_the_hour_goes_wrong_only_the_wrong_way_round() -> None:
    assert wrong_durations(AT("9:10"), AT("9:40")) == {720 - 30: {"wrong-way"}}
    assert wrong_durations(AT("9:10"), AT("9:10")) == {}


def test_wrong_ends_are_kept_with_their_rules() -> None:
    assert wrong_ends(AT("9:50"), 55) == {
        AT("9:45"): {"hour-not-carried"},
        AT("8:55"): {"wrong-way"},
        AT("10:05"): {"carried-at-a-hundred"},
    }
    assert wrong_ends(AT("9:10"), -20) == {AT("9:50"): {"hour-not-carried"}, AT("9:30"): {"wrong-way"}}


@given(times, st.integers(1, 359), st.sampled_from([1, -1]))
def test_there_is_always_a_wrong_end_and_it_is_never_right(start: ClockTime, minutes: int, way: int) -> None:
    wrong = wrong_ends(start, way * minutes)
    assert wrong
    assert start.plus(way * minutes) not in wrong
    assert start not in wrong
    assert all(names <= SOURCES_OF_SUMS.keys() for names in wrong.values())


def test_the_hour_is_only_not_carried_where_the_long_hand_passes_twelve() -> None:
    # A whole hour on, or twenty-five minutes inside the hour: the long hand never passes the twelve.
    assert wrong_ends(AT("9:05"), 60) == {AT("8:05"): {"wrong-way"}}
    assert HOUR_NOT_CARRIED not in frozenset().union(*wrong_ends(AT("3:35"), 75 - 60).values())
    assert wrong_ends(AT("3:35"), 75) == {AT("2:20"): {"wrong-way"}}
    # With whole hours beside, only the hour that the minutes bring is forgotten.
    assert wrong_ends(AT("3:50"), 75)[AT("4:05")] == {"hour-not-carried"}
    assert wrong_ends(AT("3:20"), 40)[AT("3:00")] == {"hour-not-carried"}
    assert wrong_ends(AT("4:30"), -30) == {AT("5:00"): {"wrong-way"}}


def hopped(start: str, minutes: int) -> list[tuple[str, str, int, str]]:
    return [(str(hop.start), str(hop.end), hop.minutes, hop.kind) for hop in hops(AT(start), minutes)]


def test_a_worked_example_hops_to_the_hour_then_hours_then_the_rest() -> None:
    assert hopped("9:50", 75) == [
        ("9:50", "10:00", 10, "to the hour"),
        ("10:00", "11:00", 60, "hours"),
        ("11:00", "11:05", 5, "rest"),
    ]
    assert hopped("8:30", elapsed(AT("8:30"), AT("11:00"))) == [
        ("8:30", "9:00", 30, "to the hour"),
        ("9:00", "11:00", 120, "hours"),
    ]
    assert hopped("4:10", 20) == [("4:10", "4:30", 20, "rest")]
    assert hopped("4:00", -20) == [("4:00", "3:40", 20, "rest")]
    assert hopped("4:20", -90) == [
        ("4:20", "4:00", 20, "to the hour"),
        ("4:00", "3:00", 60, "hours"),
        ("3:00", "2:50", 10, "rest"),
    ]


@given(times, st.integers(1, 720), st.sampled_from([1, -1]))
def test_hops_lead_from_the_start_to_the_end(start: ClockTime, minutes: int, way: int) -> None:
    walked = hops(start, way * minutes)
    assert walked[0].start == start
    assert walked[-1].end == start.plus(way * minutes)
    assert sum(hop.minutes for hop in walked) == minutes
    assert all(hop.start.plus(way * hop.minutes) == hop.end for hop in walked)
    assert all(a.end == b.start for a, b in itertools.pairwise(walked))
    assert [hop.kind for hop in walked] == sorted(
        (hop.kind for hop in walked), key=["to the hour", "hours", "rest"].index
    )


@given(times, times)
def test_a_wrong_duration_is_never_right_and_fits_the_dial(start: ClockTime, end: ClockTime) -> None:
    wrong = wrong_durations(start, end)
    assert elapsed(start, end) not in wrong
    assert all(0 < minutes < 720 + 60 for minutes in wrong)
    assert all(names <= SOURCES_OF_SUMS.keys() for names in wrong.values())

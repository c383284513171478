"""The ladder of steps."""

from __future__ import annotations

from itertools import pairwise

import pytest

from caller.clock import ALL_TIMES, ClockError, ClockTime
from caller.clock.ladder import STEP_CODES, STEPS, Step, difficulty, step, step_of, times_at

AT = ClockTime.parse


def test_the_steps_are_in_the_order_in_which_they_are_learnt() -> None:
    dial = ["o-clock", "half-past", "quarters", "fives-past", "fives-to", "minutes", "near-the-hour"]
    assert list(STEP_CODES) == [*dial, "elapsed", "day-parts"]
    assert [step(code) for code in STEP_CODES] == list(STEPS)


def test_an_unknown_step_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ClockError) as caught:
        step("seconds")
    assert str(caught.value) == f'The ladder has no step "seconds": its steps are {", ".join(STEP_CODES)}.'


def test_each_dial_step_reads_all_that_the_step_before_reads() -> None:
    dial = [each for each in STEPS if each.question == "read the dial"]
    for before, after in pairwise(dial):
        assert set(before.minutes) < set(after.minutes)
        assert before.precision_min >= after.precision_min
    assert times_at(dial[-1]) == ALL_TIMES


@pytest.mark.parametrize("each", STEPS, ids=lambda each: each.code)
def test_the_times_of_a_step_keep_to_its_precision(each: Step) -> None:
    times = times_at(each)
    assert len(times) == 12 * len(each.minutes)
    assert all(time.minute % each.precision_min == 0 for time in times)
    assert list(times) == sorted(times)


@pytest.mark.parametrize(
    ("time", "code"),
    [
        ("4:00", "o-clock"),
        ("4:30", "half-past"),
        ("4:45", "quarters"),
        ("4:25", "fives-past"),
        ("4:40", "fives-to"),
        ("4:55", "fives-to"),
        ("4:37", "minutes"),
        ("4:58", "near-the-hour"),
        ("5:02", "near-the-hour"),
    ],
)
def test_a_time_belongs_to_the_lowest_step_that_can_hold_it(time: str, code: str) -> None:
    assert step_of(AT(time)).code == code


def test_every_step_is_mapped_to_standards_of_three_countries() -> None:
    for each in STEPS:
        bodies = {standard.body.split()[0] for standard in each.standards}
        assert bodies == {"US", "National", "Australian"}
        assert all(standard.code and standard.says and standard.status for standard in each.standards)


def test_difficulty_is_the_sum_of_its_parts_between_nought_and_one() -> None:
    for time in ALL_TIMES:
        found = difficulty(time)
        assert found.score == pytest.approx(sum(found.parts.values()))
        assert 0 <= found.score <= 1


@pytest.mark.parametrize(
    ("easier", "harder", "why"),
    [
        ("4:00", "4:30", "hour hand"),
        ("4:10", "4:50", "past the half hour"),
        ("4:30", "4:35", "counting"),
        ("4:35", "4:38", "counting"),
        ("4:10", "2:10", "hands overlap"),
        ("4:45", "12:45", "twelve to one"),
    ],
)
def test_what_makes_a_time_harder_is_named(easier: str, harder: str, why: str) -> None:
    assert difficulty(AT(easier)).score < difficulty(AT(harder)).score
    assert difficulty(AT(easier)).parts[why] < difficulty(AT(harder)).parts[why]

"""Mix-ups as rules; their examples from research are in tests/reference/test_clock_mixups.py."""

from __future__ import annotations

import pytest

from caller.clock.ladder import STEP_CODES
from caller.clock.mixup_rules import swap_is_right
from caller.clock.mixups import (
    BOTH,
    MIXUPS,
    MixUp,
    explained_by,
    mixup,
    wrong_readings,
)
from caller.clock.times import ALL_TIMES, ClockError, ClockTime

AT = ClockTime.parse


@pytest.mark.parametrize("each", MIXUPS, ids=lambda each: each.name)
def test_a_mix_up_is_wrong_wherever_it_says_anything(each: MixUp) -> None:
    given = [(time, each.rule(time)) for time in ALL_TIMES]
    assert any(wrong is not None for _, wrong in given)
    assert [str(time) for time, wrong in given if wrong == time] == []


@pytest.mark.parametrize("each", MIXUPS, ids=lambda each: each.name)
def test_a_mix_up_says_what_it_is_who_describes_it_and_where_it_matters(each: MixUp) -> None:
    assert each.title
    assert each.source
    assert each.explanation.endswith(".")
    assert each.registers <= BOTH
    assert each.registers
    assert set(each.steps) <= set(STEP_CODES)
    assert each.steps
    assert mixup(each.name) is each


def test_names_are_told_apart() -> None:
    assert len({each.name for each in MIXUPS}) == len(MIXUPS)


def test_an_unknown_mix_up_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ClockError) as caught:
        mixup("upside-down")
    names = ", ".join(each.name for each in MIXUPS)
    assert str(caught.value) == f'There is no mix-up "upside-down": they are {names}.'


def test_the_whole_set_of_rules_behind_a_wrong_reading_is_kept() -> None:
    assert explained_by(AT("7:50"), AT("8:50")) == {"hour-to-nearest", "hour-to-larger"}
    # At 7:10 only one of the two is wrong, so that time tells them apart.
    assert explained_by(AT("7:10"), AT("8:10")) == {"hour-to-larger"}
    assert explained_by(AT("4:40"), AT("8:20")) == {"hands-swapped"}
    assert explained_by(AT("4:40"), AT("4:40")) == frozenset()
    assert explained_by(AT("4:40"), AT("1:13")) == frozenset()


def test_wrong_readings_hold_every_rule_and_never_the_truth() -> None:
    for time in ALL_TIMES:
        readings = wrong_readings(time)
        assert time not in readings
        told = {(name, wrong) for wrong, names in readings.items() for name in names}
        assert told == {(each.name, each.rule(time)) for each in MIXUPS if each.rule(time) is not None}


def test_at_the_twelve_times_where_swapping_is_right_nothing_is_swapped() -> None:
    right = [str(time) for time in ALL_TIMES if swap_is_right(time)]
    assert right == (
        ["12:00", "1:05", "2:10", "3:15", "4:20", "5:25", "6:30", "7:35", "8:40", "9:45", "10:50", "11:55"]
    )
    for text in right:
        for name in ("hands-swapped", "hands-swapped-closely", "minute-numeral-as-hour"):
            assert mixup(name).rule(AT(text)) is None
    assert sum(mixup("hands-swapped").rule(time) is None for time in ALL_TIMES) == 12


def test_ones_stay_inside_the_hour() -> None:
    assert mixup("ones-one-more").rule(AT("4:59")) is None
    assert mixup("ones-one-less").rule(AT("4:01")) == AT("4:00")
    assert mixup("ones-one-more").rule(AT("4:40")) is None


def test_rounding_on_reaches_the_next_hour() -> None:
    assert mixup("to-nearest-five-on").rule(AT("12:58")) == AT("1:00")
    assert mixup("to-nearest-five-back").rule(AT("12:58")) == AT("12:55")


def test_the_hour_wraps_at_twelve() -> None:
    assert mixup("hour-to-larger").rule(AT("12:40")) == AT("1:40")
    assert mixup("to-keeps-passed-hour").rule(AT("1:40")) == AT("12:40")
    assert mixup("past-for-to").rule(AT("12:40")) == AT("1:20")
    assert mixup("past-for-to").rule(AT("1:10")) == AT("12:50")

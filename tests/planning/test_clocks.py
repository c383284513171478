from __future__ import annotations

from collections import Counter
from itertools import pairwise
from random import Random

import pytest

from caller.clock import ClockTime, DayTime
from caller.clock.fair import DURATIONS
from caller.clock.ladder import STEP_CODES, step
from caller.planning.clocks import ClockBag, pool


@pytest.mark.parametrize("code", STEP_CODES)
def test_a_step_has_clocks_of_its_own_in_order_of_hardness(code: str) -> None:
    clocks = pool(code)
    assert all(clock.step == code and clock.dial.minute in step(code).minutes for clock in clocks)
    assert all(a.hardness <= b.hardness for a, b in pairwise(clocks))


def test_a_step_of_the_dial_brings_only_what_is_new_in_it() -> None:
    assert {clock.dial.minute for clock in pool("quarters")} == {15, 45}
    assert {clock.dial.minute for clock in pool("near-the-hour")} == {1, 2, 3, 4, 56, 57, 58, 59}


def test_later_and_earlier_cross_the_hour_only_when_it_gets_hard() -> None:
    easiest, hardest = pool("elapsed")[0], pool("elapsed")[-1]
    assert easiest.dial.minute + (easiest.change_minutes or 0) <= 60
    assert hardest.kind == "earlier"
    assert hardest.dial.minute < (hardest.change_minutes or 0)


def test_times_of_day_keep_to_the_hours_children_are_awake_and_midnight() -> None:
    times = [clock.time for clock in pool("day-parts")]
    assert all(isinstance(time, DayTime) and (time.hour >= 6 or time.hour == 0) for time in times)


def test_the_dial_tells_no_half_of_the_day_and_every_kind_of_a_step_is_drawn() -> None:
    halves = [clock.time for clock in pool("day-parts") if clock.kind == "half-of-day"]
    assert all(isinstance(time, DayTime) and time.plus(720) in halves for time in halves)
    drawn = {clock.kind for seed in range(20) for clock in ClockBag((), Random(seed)).rising("elapsed", 8)}
    assert drawn == {"later", "earlier", "how-long"}
    drawn = {clock.kind for seed in range(20) for clock in ClockBag((), Random(seed)).rising("day-parts", 8)}
    assert drawn == {"day-part", "half-of-day"}


def test_all_lengths_are_asked_for_about_as_often() -> None:
    asked = Counter(clock.change_minutes for clock in pool("elapsed") if clock.kind == "how-long")
    assert set(asked) == set(DURATIONS)
    assert max(asked.values()) - min(asked.values()) <= 1


@pytest.mark.parametrize("code", STEP_CODES)
def test_clocks_of_one_lesson_rise_in_hardness_and_are_all_different(code: str) -> None:
    drawn = ClockBag((), Random(code)).rising(code, 10)
    assert len({clock.dial for clock in drawn}) == 10
    assert all(a.hardness <= b.hardness for a, b in pairwise(drawn))


def test_a_clock_met_in_the_last_fortnight_is_left_out_and_one_met_before_it_is_not() -> None:
    lately = [(ClockTime(hour, 30), 3.0) for hour in range(1, 12)]
    bag = ClockBag([*lately, (ClockTime(12, 30), 15.0)], Random(1))
    assert bag.one("half-past").dial == ClockTime(12, 30)
    assert bag.again == []


def test_where_a_step_has_no_clock_left_the_one_met_longest_ago_comes_again_and_is_told() -> None:
    met = [(ClockTime(hour), float(hour)) for hour in range(1, 13)]
    bag = ClockBag(met, Random(1))
    assert {clock.dial for clock in bag.rising("o-clock", 2)} == {ClockTime(12), ClockTime(11)}
    assert len(bag.again) == 2

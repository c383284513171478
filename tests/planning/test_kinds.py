from __future__ import annotations

from random import Random
from typing import get_args

import pytest

from caller.planning.classfile import ReadsWords
from caller.planning.clocks import ClockBag, with_kinds


def _kinds(step: str, count: int, reading: ReadsWords) -> list[str | None]:
    return [clock.kind for clock in with_kinds(ClockBag((), Random(1)).rising(step, count), reading)]


@pytest.mark.parametrize("reading", get_args(ReadsWords))
def test_every_round_has_a_kind_and_the_first_and_the_last_are_read(reading: ReadsWords) -> None:
    kinds = _kinds("quarters", 9, reading)
    assert None not in kinds
    assert kinds[0] == kinds[-1] == "read"


def test_children_who_do_not_read_words_are_asked_to_find_more_often_than_fluent_readers() -> None:
    assert _kinds("half-past", 12, "none").count("find") > _kinds("half-past", 12, "fluent").count("find")


def test_nobody_is_asked_to_show_single_minutes_with_the_arms() -> None:
    for reading in get_args(ReadsWords):
        assert "be-the-clock" not in _kinds("minutes", 20, reading)
    assert "be-the-clock" in _kinds("quarters", 20, "early")


def test_nobody_is_asked_to_show_both_hands_on_one_side_with_the_arms() -> None:
    asked = [clock for seed in range(20) for clock in ClockBag((), Random(seed)).rising("fives-to", 20)]
    shown = [clock.time for clock in with_kinds(asked, "none") if clock.kind == "be-the-clock"]
    assert len(shown) > 20
    assert not {str(time) for time in shown} & {"1:10", "2:15", "4:20", "7:35", "8:40", "9:45", "10:50"}


def test_a_clock_that_brings_its_own_kind_keeps_it() -> None:
    assert set(_kinds("day-parts", 6, "early")) == {"day-part", "half-of-day"}
    assert set(_kinds("elapsed", 12, "early")) == {"later", "earlier", "how-long"}

from __future__ import annotations

from itertools import pairwise

import pytest

from caller.clock.ladder import STEP_CODES
from caller.planning.clocks import (
    LESSONS_UNTIL_RETURN,
    due_after,
    return_places,
    shared_out,
    steps_to_return_to,
)


def test_the_gaps_double_as_leitner_has_them() -> None:
    assert LESSONS_UNTIL_RETURN[0] == 1
    assert all(b == 2 * a for a, b in pairwise(LESSONS_UNTIL_RETURN))


@pytest.mark.parametrize(
    ("since", "returns", "due"),
    [(0, 0, False), (1, 0, True), (1, 1, False), (2, 1, True), (3, 2, False), (4, 2, True), (16, 9, True)],
)
def test_a_step_is_due_when_its_gap_has_passed(since: int, returns: int, due: bool) -> None:
    assert (due_after({"o-clock": (since, returns)}) == ["o-clock"]) is due


def test_the_most_overdue_step_comes_first_and_of_equals_the_later_one() -> None:
    assert due_after({"o-clock": (9, 1), "half-past": (2, 0), "quarters": (2, 0)}) == [
        "o-clock", "quarters", "half-past",
    ]  # fmt: skip


def test_where_nothing_is_known_the_nearest_step_below_comes_first() -> None:
    assert steps_to_return_to("fives-past", {}) == ["quarters", "half-past", "o-clock"]
    assert steps_to_return_to("o-clock", {}) == []


def test_the_least_known_step_comes_first() -> None:
    assert steps_to_return_to("quarters", {"half-past": 0.9, "o-clock": 0.4}) == ["o-clock", "half-past"]


@pytest.mark.parametrize("rounds", range(1, 40))
def test_returns_within_a_lesson_come_at_growing_gaps_and_the_last_round_is_one(rounds: int) -> None:
    places = return_places(rounds)
    assert places == sorted(set(places))
    assert all(0 < place < rounds for place in places)
    assert len(places) <= max(1, round(0.3 * rounds))
    if rounds >= 3:
        assert places[-1] == rounds - 1
    gaps = [b - a for a, b in pairwise(places[:-1])]
    assert gaps == sorted(gaps)


def test_steps_are_shared_out_with_the_neediest_most_often() -> None:
    assert shared_out(["quarters", "half-past", "o-clock"], 4) == [
        "quarters",
        "half-past",
        "o-clock",
        "quarters",
    ]
    assert shared_out(["quarters"], 2) == ["quarters", "quarters"]
    assert shared_out([], 2) == []
    assert shared_out(STEP_CODES, 0) == []

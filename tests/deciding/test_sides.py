"""Sides are held against the runs test of Wald and Wolfowitz (1940, Ann. Math. Statist. 11:147-162)."""

from __future__ import annotations

import math
from itertools import combinations, groupby
from random import Random
from statistics import fmean, pvariance

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.deciding import Side, lane_sides
from caller.deciding.sides import fault_of, kept_free_of_runs, runs_z, side_sequence, sides_of
from caller.lesson import Lesson, Practice, Round
from caller.runsheet.sequence import make_run_sheet


def _runs_z(sequence: tuple[str, ...]) -> float:
    """Return how many standard deviations the number of runs is off, for two sides."""
    left = sequence.count("left")
    right = len(sequence) - left
    product = 2 * left * right
    mean = product / (left + right) + 1
    variance = product * (product - left - right) / ((left + right) ** 2 * (left + right - 1))
    return (len(list(groupby(sequence))) - mean) / math.sqrt(variance)


def test_the_runs_test_reproduces_a_worked_value() -> None:
    # By hand: 6 left and 6 right in 12 runs: mean 7, variance 72 * 60 / (144 * 11) = 2.727.
    assert _runs_z(("left", "right") * 6) == pytest.approx(5 / math.sqrt(72 * 60 / (144 * 11)))


def test_sides_pass_a_runs_test_over_a_thousand_lessons() -> None:
    z = [_runs_z(side_sequence(Random(f"{seed}/sides"), 2, 20)) for seed in range(1000)]
    rejected = sum(abs(value) > 1.96 for value in z) / len(z)
    assert rejected < 0.05
    assert abs(sum(z) / len(z)) < 0.75  # four in a row being left out makes runs a little more frequent


@given(st.integers(), st.sampled_from([2, 3]), st.integers(1, 60))
def test_sides_are_balanced_without_long_runs_or_alternation(seed: int, choices: int, count: int) -> None:
    sequence = side_sequence(Random(seed), choices, count)
    counts = [sequence.count(side) for side in lane_sides(choices)]
    assert max(counts) - min(counts) <= 4
    assert sum(counts) == count
    assert all(len(list(run)) <= 3 for _, run in groupby(sequence))
    text = "".join(side[0] for side in sequence)
    assert "lrlrlr" not in text
    assert "rlrlrl" not in text


@given(st.integers(), st.sampled_from([2, 3]), st.integers(1, 59))
def test_a_longer_lesson_begins_like_a_shorter_one(seed: int, choices: int, count: int) -> None:
    longer = side_sequence(Random(seed), choices, 60)
    assert longer[:count] == side_sequence(Random(seed), choices, count)


def test_a_scripts_own_sides_do_not_make_a_run_of_four() -> None:
    assert kept_free_of_runs("left", ["left"] * 3, 2) == "right"
    assert kept_free_of_runs("right", ["right"] * 3, 3) == "left"
    assert kept_free_of_runs("left", ["right", "left", "left"], 2) == "left"


SHORT: dict[str, Side] = {"l": "left", "r": "right", "m": "middle"}


def _sides(letters: str) -> tuple[Side, ...]:
    return tuple(SHORT[letter] for letter in letters)


@pytest.mark.parametrize(("left", "right"), [(3, 3), (4, 4), (2, 6), (5, 3)])
def test_the_runs_test_agrees_with_counting_every_order(left: int, right: int) -> None:
    """Wald & Wolfowitz 1940 give mean and variance of the number of runs; here all orders are counted."""
    n = left + right
    orders = [
        _sides("".join("l" if place in chosen else "r" for place in range(n)))
        for chosen in combinations(range(n), left)
    ]
    runs = [float(sum(1 for _ in groupby(order))) for order in orders]
    mean, deviation = fmean(runs), math.sqrt(pvariance(runs))
    for order, count in zip(orders, runs, strict=True):
        assert runs_z(order) == pytest.approx((count - mean) / deviation)


@pytest.mark.parametrize("letters", ["", "l", "lll", "m", "mlm"])
def test_what_cannot_be_tested_is_not_far_from_chance(letters: str) -> None:
    assert runs_z(_sides(letters)) == 0.0


@pytest.mark.parametrize(
    ("letters", "told"),
    [
        ("lrrrrl", "the right choice stands on the same side 4 times running."),
        ("lllrl", "the right choice stands 4 times left and 1 times right."),
        ("lrlrlrlr", "the sides of the right choice make a pattern."),
        ("llrrllrrl", "the sides of the right choice make a pattern."),
        ("rllrllrll".replace("rll", "rlr", 1) + "", ""),
        ("rllrrlrl", ""),
        ("lll", ""),
        ("", ""),
    ],
)
def test_faults_are_told(letters: str, told: str) -> None:
    assert fault_of(_sides(letters)) == told


@pytest.mark.parametrize("seed", range(20))
def test_the_sides_of_a_seed_are_those_of_the_run_sheet(seed: int) -> None:
    first: list[str] = ["read", "is-it-so", "be-the-clock", "read", "find", "be-the-clock"]
    kinds = [*first, *first]
    lesson = Lesson(seed=seed, practice=Practice(skip=True), rounds=tuple(Round(kind=kind) for kind in kinds))
    sides = tuple(facts.answer for facts in make_run_sheet(lesson).rounds if facts.moves)
    assert sides_of([kind != "be-the-clock" for kind in kinds], seed) == sides

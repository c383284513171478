"""Sides are held against the runs test of Wald and Wolfowitz (1940, Ann. Math. Statist. 11:147-162)."""

from __future__ import annotations

import math
from itertools import groupby
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.deciding.model import lane_sides
from caller.deciding.sides import kept_free_of_runs, side_sequence


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

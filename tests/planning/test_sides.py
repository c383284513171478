from __future__ import annotations

import math
from itertools import combinations, groupby
from statistics import fmean, pvariance

import pytest

from caller.lesson.model import Lesson, Practice, Round
from caller.planning.sides import fault_of, runs_z, sides_of
from caller.runsheet.model import Side
from caller.runsheet.sequence import make_run_sheet

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

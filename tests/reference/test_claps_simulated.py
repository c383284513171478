"""A class counted by its claps, in a hall simulated by pyroomacoustics: a small, seeded part of the
benchmark.

How the hall, the children and their claps are made, without anything of the program: benchmarks/claps.py. The
limits are what a count of this kind is asked to keep over five halls there, widened for a few dozen rounds.
"""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks.claps import ROOMS, Outcome, Paths, Score, a_lesson, outcomes, paths_of
from caller.hall.claps import NotCounted

pytest.importorskip("pyroomacoustics")

PLACES = 7
Heard = list[dict[tuple[int, bool], Outcome]]


@pytest.fixture(scope="module")
def paths() -> tuple[Paths, ...]:
    return paths_of(ROOMS[1], np.random.default_rng(4), places=PLACES, rays=300)


@pytest.fixture(scope="module")
def lessons(paths: tuple[Paths, ...]) -> list[Heard]:
    return [
        list(
            outcomes(
                a_lesson(
                    paths, spread_db, np.random.default_rng([4, number]), gains=(False, True), places=PLACES
                )
            )
        )
        for number, spread_db in enumerate((2.0, 4.0, 4.0, 6.0))
    ]


def score(lessons: list[Heard], *, gain: bool) -> Score:
    found = Score()
    for each in lessons:
        for heard in each:
            for (_, gained), outcome in heard.items():
                if gained == gain:
                    found.take(outcome)
    return found


def test_the_truth_lies_in_the_interval_and_the_error_is_small(lessons: list[Heard]) -> None:
    found = score(lessons, gain=False)
    assert sum(found.refused.values()) <= 0.3 * found.rounds
    assert np.mean(found.covered) >= 0.8
    assert np.sqrt(np.mean(np.square(found.errors))) < 0.2
    assert np.mean(found.claims or [True]) >= 0.85


def test_automatic_gain_is_noticed_and_mostly_not_counted(lessons: list[Heard]) -> None:
    found = score(lessons, gain=True)
    assert sum(found.refused.values()) >= 0.5 * found.rounds
    assert set(found.refused) & {NotCounted.GAIN.value, NotCounted.CLIPPED.value}


def test_a_class_that_shouts_is_not_counted(paths: tuple[Paths, ...]) -> None:
    refused = 0
    for seed in range(3):
        heard = list(
            outcomes(a_lesson(paths[:1], 4.0, np.random.default_rng([5, seed]), places=PLACES, shouted=1))
        )
        refused += isinstance(heard[1][0, False].told, NotCounted)
    assert refused >= 2

"""Measurements with one thing going wrong, and without: halls of our own making, decays known exactly.

How halls, recordings and disturbances are made, without the program's own filters: benchmarks/disturbed.py.
"""

from __future__ import annotations

import pytest

from benchmarks.disturbed import DISTURBANCES, UNDISTURBED, off, one
from tests.sampling import sampled


@pytest.mark.parametrize("name", DISTURBANCES)
@pytest.mark.parametrize("seed", sampled(range(2), 2))
def test_nothing_disturbed_is_taken_for_the_hall(seed: int, name: str) -> None:
    times, found = one(seed, name)
    assert not found.good or off(times, found) <= 0.20


@pytest.mark.parametrize("seed", sampled(range(4), 2))
def test_a_quiet_measurement_is_taken(seed: int) -> None:
    times, found = one(seed, UNDISTURBED)
    assert found.good, found.fault
    assert off(times, found) <= 0.05


@pytest.mark.parametrize(
    ("name", "told", "passing"),
    [
        ("bang", "bang", True),
        ("shout", "bang, a voice", True),
        ("automatic gain", "automatic gain", False),
        ("clipping", "clipped", False),
        ("another rate", "did not keep step", False),
        ("lost", "did not keep step", False),
    ],
)
def test_what_went_wrong_is_named_and_tried_once_more_only_where_it_passes(
    name: str, told: str, passing: bool
) -> None:
    found = [one(seed, name)[1] for seed in range(100, 103)]
    named = [each for each in found if told in each.fault]
    assert len(named) >= 2, [each.fault for each in found]
    assert {bool(each.passing) for each in named} == {passing}


@pytest.mark.parametrize(
    ("seed", "name"),
    [
        (1001, "another rate"),  # the higher octaves came before the recording began, and were cut off
        (1002, "lost"),  # in the 250 Hz octave, which was not looked at
        (5007, "bang"),  # in the tail of two octaves' echo, 22 dB under its beginning and more
        (
            20081,
            "automatic gain",
        ),  # in a hall whose echo outlasts the recording: it lifted the highest octave's
        pytest.param(5023, "bang", marks=pytest.mark.nightly),  # in the echo of all octaves at once
        pytest.param(5017, "bang", marks=pytest.mark.nightly),  # as 5007; it was 15 % off
    ],
)
def test_what_was_once_taken_for_the_hall_is_refused(seed: int, name: str) -> None:
    _, found = one(seed, name)
    assert not found.good

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.hall import Hall
from caller.hall.reverberation import (
    DECAY_CONSTANT_S_PER_M,
    estimated_reverberation_s,
    eyring_s,
    largest_absorber,
    mid_reverberation_s,
    reverberation_s,
    sabine_s,
    total_absorption_m2,
)


@given(
    volume=st.floats(50, 20000),
    surface=st.floats(80, 8000),
    mean=st.floats(0.005, 0.99),
    air=st.floats(0, 0.03),
)
def test_eyring_never_rings_longer_than_sabine(
    volume: float, surface: float, mean: float, air: float
) -> None:
    assert eyring_s(volume, surface, mean * surface, air) <= sabine_s(volume, mean * surface, air)


def test_a_room_of_open_windows_does_not_ring_by_eyring() -> None:
    assert eyring_s(1000.0, 700.0, 700.0) < 0.02


def test_what_was_measured_replaces_the_estimate(bare_gym: Hall) -> None:
    measured = (2.4, 2.2, 2.0, 1.9, 1.7, 1.3, 0.9)
    hall = dataclasses.replace(bare_gym, measured_reverberation_s=measured, people=0)
    assert tuple(reverberation_s(hall)) == pytest.approx(measured)
    assert mid_reverberation_s(reverberation_s(hall)) == pytest.approx((2.0 + 1.9 + 1.7) / 3)
    expected = DECAY_CONSTANT_S_PER_M * hall.volume_m3 / np.array(measured)
    assert total_absorption_m2(hall) == pytest.approx(expected)


def test_a_hall_is_measured_empty_and_used_with_children_in_it(bare_gym: Hall) -> None:
    """What the class takes off is the same as in an estimate of the same room."""
    full, empty = (dataclasses.replace(bare_gym, people=people) for people in (28, 0))
    a, b, c, d, e, f, g = (float(each) for each in reverberation_s(empty))
    used = dataclasses.replace(full, measured_reverberation_s=(a, b, c, d, e, f, g))
    assert reverberation_s(used) == pytest.approx(reverberation_s(full))
    assert (reverberation_s(used) < reverberation_s(empty)).all()


def test_the_estimate_is_sabines_unless_eyrings_is_asked_for(bare_gym: Hall) -> None:
    sabine, eyring = (
        estimated_reverberation_s(bare_gym),
        estimated_reverberation_s(bare_gym, formula="eyring"),
    )
    assert tuple(reverberation_s(bare_gym)) == tuple(sabine)
    assert (eyring < sabine).all()


def test_warm_damp_air_lets_high_sound_ring_longer_than_cold_dry_air(bare_gym: Hall) -> None:
    damp = dataclasses.replace(bare_gym, humidity_percent=70.0, temperature_c=22.0)
    dry = dataclasses.replace(bare_gym, humidity_percent=25.0, temperature_c=14.0)
    assert reverberation_s(damp)[6] > 1.3 * reverberation_s(dry)[6]


def test_the_largest_absorber_of_a_gym_with_a_soft_ceiling_is_the_ceiling(bare_gym: Hall) -> None:
    hall = dataclasses.replace(bare_gym, ceiling=(("acoustic-tiles", 1.0),))
    name, share = largest_absorber(hall)
    assert name == "ceiling"
    assert 0.7 < share < 0.95

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.hall import DIAL_RADIUS_PER_IMAGE_HEIGHT, Hall
from caller.hall.sightlines import (
    NUMERAL_HEIGHT_PER_RADIUS,
    angle_seen_arcmin,
    image_height_for_m,
    marks_readable_to_m,
    precision_min,
    sight_lines,
    size_seen_m,
    smallest_angle_deg,
    smallest_difference_deg,
)


@given(size=st.floats(0.001, 2.0), distance=st.floats(0.5, 60.0))
def test_size_and_angle_are_each_others_inverse(size: float, distance: float) -> None:
    assert size_seen_m(distance, angle_seen_arcmin(size, distance)) == pytest.approx(size, rel=1e-9)


@pytest.mark.parametrize(
    ("deg", "minutes"),
    [(2.0, 1), (6.0, 1), (6.1, 5), (30.0, 5), (31.0, 15), (90.0, 15), (120.0, 30), (500.0, 60)],
)
def test_a_hall_supports_the_finest_step_that_its_last_row_can_see(deg: float, minutes: int) -> None:
    assert precision_min(deg) == minutes


def large_dial(hall: Hall, **screen: float) -> Hall:
    """Return the hall with a dial that fills the picture's height, as in the worked examples."""
    made = dataclasses.replace(hall.screen, dial_radius_per_image_height=0.45, **screen)
    return dataclasses.replace(hall, screen=made)


def test_the_gyms_last_row_sees_single_minutes_but_the_margin_is_known(bare_gym: Hall) -> None:
    lines = sight_lines(large_dial(bare_gym), numeral_height_per_radius=0.16)
    assert lines.dial_radius_m == pytest.approx(0.81)
    assert lines.precision_minutes == 1
    assert lines.smallest_difference_deg == pytest.approx(6.0 * 15.0 / 36.45, rel=1e-3)
    assert lines.smallest_mark_m == pytest.approx(2 * 15 * 2 / 3437.75, rel=1e-4)
    assert lines.numerals_readable
    assert lines.numerals_readable_to_m == pytest.approx(22.3, abs=0.05)


def test_a_laptop_in_a_gym_supports_no_single_minutes(bare_gym: Hall) -> None:
    lines = sight_lines(large_dial(bare_gym, image_height_m=0.194), numeral_height_per_radius=0.16)
    assert lines.precision_minutes == 5
    assert lines.margin_precision_minutes == 15
    assert not lines.numerals_readable
    assert lines.image_height_needed_m == pytest.approx(1.212, abs=0.001)


def test_a_shorter_hand_must_turn_further_to_be_seen(bare_gym: Hall) -> None:
    assert smallest_difference_deg(bare_gym, reach=0.6) == pytest.approx(
        smallest_difference_deg(bare_gym) / 0.6
    )
    assert smallest_difference_deg(bare_gym, acuity_arcmin=3) > smallest_difference_deg(bare_gym)


@given(distance=st.floats(2.0, 40.0), precision=st.sampled_from([1, 5, 15, 30]))
def test_the_image_height_asked_for_is_enough_and_not_more(distance: float, precision: int) -> None:
    radius = image_height_for_m(distance, precision_minutes=precision) * DIAL_RADIUS_PER_IMAGE_HEIGHT
    numeral_reach = NUMERAL_HEIGHT_PER_RADIUS * radius / size_seen_m(1.0, 20.0)
    assert smallest_angle_deg(radius, distance) <= 6.0 * precision * (1 + 1e-6)
    assert numeral_reach >= distance * (1 - 1e-4)
    assert min(marks_readable_to_m(radius) * precision, numeral_reach) == pytest.approx(distance, rel=1e-4)

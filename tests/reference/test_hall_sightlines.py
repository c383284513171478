"""Sight lines: held against visual-angle formulas and tables.

Angle formula: a = 2 atan(s / 2d) (NUREG-0700 rev. 2, h = 6.283 D MA / 21600). Acuity: 20/20 is a gap of 1'.
"found", "calc", "mem" as in the acoustics notes.
"""

from __future__ import annotations

import math

import pytest

from caller.hall import HallScreen
from caller.hall.sightlines import (
    angle_seen_arcmin,
    marks_readable_to_m,
    precision_min,
    size_seen_m,
    smallest_angle_deg,
)


@pytest.mark.parametrize(
    ("distance_m", "sizes_mm"),
    [
        # at 1', 16', 20', 22', and the 10' letter of 20/40 (calc)
        (5, (1.45, 23.3, 29.1, 32.0, 14.5)),
        (10, (2.91, 46.5, 58.2, 64.0, 29.1)),
        (15, (4.36, 69.8, 87.3, 96.0, 43.6)),
        (20, (5.82, 93.1, 116.4, 128.0, 58.2)),
    ],
)
def test_heights_for_a_visual_angle_are_as_worked(distance_m: float, sizes_mm: tuple[float, ...]) -> None:
    found = [size_seen_m(distance_m, arcmin) * 1000 for arcmin in (1, 16, 20, 22, 10)]
    assert found == pytest.approx(sizes_mm, abs=0.051)


def test_nuregs_height_formula_agrees() -> None:
    # NUREG-0700 1.3.1 (found): h = 6.283 D MA / 21600, the small-angle form.
    assert size_seen_m(12.0, 16) == pytest.approx(6.283 * 12.0 * 16 / 21600, rel=1e-4)


def test_a_200th_of_the_distance_is_17_2_arcmin() -> None:
    assert angle_seen_arcmin(1, 200) == pytest.approx(17.2, abs=0.02)  # FAA rule (found in an abstract)


INCH_M, WIDE = 0.0254, 9 / math.sqrt(16**2 + 9**2)
SCREENS = {
    # image height (m): dial radius (m), pitch (mm), distance (m) at MAR 1', 1.6', 2', 3', 2' halved (calc)
    "laptop 15.6 in": (15.6 * INCH_M * WIDE, 0.087, 9.2, (15.7, 9.8, 7.9, 5.2, 3.9)),
    "television 55 in": (55 * INCH_M * WIDE, 0.308, 32.3, (55.5, 34.7, 27.7, 18.5, 13.9)),
    "television 75 in": (75 * INCH_M * WIDE, 0.420, 44.0, (75.6, 47.3, 37.8, 25.2, 18.9)),
    "television 86 in": (86 * INCH_M * WIDE, 0.482, 50.5, (86.7, 54.2, 43.4, 28.9, 21.7)),
    "projector 2.0 x 1.125": (1.125, 0.506, 53.0, (91.1, 57.0, 45.6, 30.4, 22.8)),
    "projector 3.2 x 1.8": (1.8, 0.810, 84.8, (145.8, 91.1, 72.9, 48.6, 36.5)),
}


@pytest.mark.parametrize("name", SCREENS)
def test_minute_marks_are_readable_as_far_as_worked(name: str) -> None:
    height, radius_m, pitch_mm, distances_m = SCREENS[name]
    # The table is for a dial whose radius is 0.45 of the picture's height.
    radius = HallScreen(
        image_height_m=height, last_row_m=10.0, dial_radius_per_image_height=0.45
    ).dial_radius_m
    assert radius == pytest.approx(radius_m, abs=0.00051)
    assert 2 * math.pi * radius / 60 * 1000 == pytest.approx(pitch_mm, abs=0.051)
    found = [marks_readable_to_m(radius, acuity_arcmin=mar, glance=1) for mar in (1, 1.6, 2, 3)]
    found.append(marks_readable_to_m(radius, acuity_arcmin=2, glance=2))
    assert found == pytest.approx(distances_m, abs=0.06)


def test_at_20_m_numerals_of_20_arcmin_need_a_dial_radius_of_0_73_m() -> None:
    assert size_seen_m(20, 20) / 0.16 == pytest.approx(0.73, abs=0.003)  # calc
    assert size_seen_m(20, 20) / 0.25 == pytest.approx(0.47, abs=0.005)  # calc


def test_numerals_limit_the_hall_before_the_minute_marks_do() -> None:
    # calc: numerals of 0.16 r at 20' reach 13.9 m on a 2.0 x 1.125 m picture, 22.3 m on 3.2 x 1.8 m.
    for radius, expected_m in ((0.506, 13.9), (0.810, 22.3), (0.308, 8.5), (0.087, 2.4)):
        reach = 0.16 * radius / size_seen_m(1, 20)
        assert reach == pytest.approx(expected_m, abs=0.051)
        assert reach < marks_readable_to_m(radius)


def test_at_the_limit_of_the_marks_the_smallest_turn_is_one_minute() -> None:
    limit = marks_readable_to_m(0.506)
    assert smallest_angle_deg(0.506, limit) == pytest.approx(6.0)
    assert precision_min(smallest_angle_deg(0.506, limit)) == 1
    assert precision_min(smallest_angle_deg(0.506, limit * 1.01)) == 5

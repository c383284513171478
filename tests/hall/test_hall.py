from __future__ import annotations

import dataclasses

import pytest

from caller.hall import Hall, surface_absorption_m2


def test_a_halls_volume_and_surfaces_follow_from_its_sides(bare_gym: Hall) -> None:
    assert bare_gym.volume_m3 == 24 * 12 * 6.5
    areas = [(name, area) for name, area, _ in bare_gym.surfaces]
    assert areas == [("floor", 288), ("walls", 468), ("ceiling", 288)]
    assert bare_gym.surface_m2 == 1044


def test_a_surface_of_two_materials_absorbs_by_their_shares(bare_gym: Hall) -> None:
    hall = dataclasses.replace(bare_gym, walls=(("painted-block", 0.75), ("open", 0.25)))
    assert surface_absorption_m2(hall)["walls"][3] == pytest.approx(468 * (0.75 * 0.07 + 0.25))


def test_children_absorb_too(bare_gym: Hall) -> None:
    hall = dataclasses.replace(bare_gym, people=25)
    assert surface_absorption_m2(hall)["children"][3] == pytest.approx(25 * 0.38)

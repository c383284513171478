from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from caller.hall.grid import floor_map, last_row_sti
from caller.hall.model import Hall


def test_the_floor_is_covered_from_wall_to_wall(bare_gym: Hall) -> None:
    floor = floor_map(bare_gym)
    assert floor.sti.shape == floor.level_dba.shape == floor.in_class.shape == (12, 24)
    assert (floor.x_m[0], floor.x_m[-1], floor.y_m[0], floor.y_m[-1]) == (0.5, 23.5, 0.5, 11.5)
    assert floor.in_class.sum() == 12 * 12  # from 3 m to 15 m


def test_it_is_loudest_and_clearest_near_the_speaker(bare_gym: Hall) -> None:
    floor = floor_map(bare_gym)
    place = np.unravel_index(floor.level_dba.argmax(), floor.level_dba.shape)
    assert np.hypot(floor.x_m[place[1]] - 0.5, floor.y_m[place[0]] - 4.0) < 2.0
    assert floor.sti[place] > floor.sti[:, 23].max() + 0.2


def test_a_louder_class_is_harder_to_speak_over(bare_gym: Hall) -> None:
    assert (
        last_row_sti(bare_gym, noise_dba=75.0)
        < last_row_sti(bare_gym)
        < last_row_sti(bare_gym, noise_dba=45.0)
    )


def test_more_volume_hardly_helps_once_the_voice_is_well_above_the_noise(bare_gym: Hall) -> None:
    def at(level_dba: float) -> float:
        return last_row_sti(
            dataclasses.replace(
                bare_gym, speaker=dataclasses.replace(bare_gym.speaker, level_at_1m_dba=level_dba)
            )
        )

    assert at(80.0) - at(70.0) > 2 * (at(90.0) - at(80.0))


def test_a_measured_response_is_the_most_the_last_row_can_have(bare_gym: Hall) -> None:
    quiet = last_row_sti(bare_gym, noise_dba=20.0)
    assert last_row_sti(dataclasses.replace(bare_gym, measured_quiet_sti=0.9), noise_dba=20.0) == quiet
    assert last_row_sti(dataclasses.replace(bare_gym, measured_quiet_sti=0.1)) == pytest.approx(0.1)


def test_a_cell_is_never_larger_than_the_hall(bare_gym: Hall) -> None:
    assert floor_map(bare_gym, step_m=50.0).sti.shape == (1, 1)

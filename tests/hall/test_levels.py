from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.hall.levels import directivity_towards, speech_field
from caller.hall.model import DIRECTIVITY, Hall, Speaker


def speaker(q: float) -> Speaker:
    return Speaker(at_m=(0, 0, 0), aim_m=(1, 0, 0), directivity=(q,) * 7, level_at_1m_dba=80.0)


@given(q=st.floats(1.0, 20.0))
def test_a_speaker_radiates_its_own_power_whatever_its_directivity(q: float) -> None:
    # Equal steps of cos θ are equal areas of the sphere.
    cosine = (np.arange(4000) + 0.5) / 2000 - 1
    points = np.stack([cosine, np.sqrt(1 - cosine**2), np.zeros_like(cosine)], axis=1)
    assert directivity_towards(speaker(q), points)[:, 3].mean() == pytest.approx(1.0, rel=1e-3)


def test_the_axis_has_the_stated_directivity_and_the_back_is_quiet() -> None:
    front, back = directivity_towards(speaker(5.0), np.array([[2.0, 0, 0], [-2.0, 0, 0]]))
    assert front == pytest.approx([5.0] * 7)
    assert (back < 1e-9).all()


def test_the_direct_level_1_m_in_front_is_the_one_in_the_hall_file(bare_gym: Hall) -> None:
    box = bare_gym.speaker
    axis = np.subtract(box.aim_m, box.at_m)
    point = np.asarray(box.at_m) + axis / np.linalg.norm(axis)
    field = speech_field(bare_gym, point[None])
    from caller.hall.bands import a_weighted_dba

    assert a_weighted_dba(field.direct_db)[0] == pytest.approx(80.0, abs=1e-9)
    assert field.level_dba[0] > 80.0


def test_direct_sound_falls_6_db_per_doubling_and_reverberant_sound_does_not_fall(bare_gym: Hall) -> None:
    omni = dataclasses.replace(bare_gym.speaker, directivity=DIRECTIVITY["all-round"], at_m=(1.0, 6.0, 1.1))
    hall = dataclasses.replace(bare_gym, speaker=omni)
    near, far = np.array([[3.0, 6.0, 1.1]]), np.array([[5.0, 6.0, 1.1]])
    drop = speech_field(hall, near).direct_db - speech_field(hall, far).direct_db
    assert drop == pytest.approx(np.full((1, 7), 20 * np.log10(2)))
    assert tuple(speech_field(hall, near).reverberant_db) == tuple(speech_field(hall, far).reverberant_db)


def test_points_behind_a_narrow_speaker_still_have_a_level(bare_gym: Hall) -> None:
    column = dataclasses.replace(
        bare_gym.speaker, directivity=DIRECTIVITY["column"], at_m=(2.0, 6.0, 1.1), aim_m=(20.0, 6.0, 1.1)
    )
    field = speech_field(dataclasses.replace(bare_gym, speaker=column), np.array([[0.5, 6.0, 1.1]]))
    assert np.isfinite(field.direct_db).all()

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.hall import DIRECTIVITY, Hall, HallSpeaker
from caller.hall.floor import (
    ENOUGH_OVER_NOISE_DB,
    VOICE_CEILING_DBA,
    directivity_towards,
    floor_map,
    last_row_sti,
    loudness,
    places,
    speech_field,
)
from caller.hall.hallfile import parse_hall, preset


def speaker(q: float) -> HallSpeaker:
    return HallSpeaker(at_m=(0, 0, 0), aim_m=(1, 0, 0), directivity=(q,) * 7, level_at_1m_dba=80.0)


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


def with_level(hall: Hall, level_dba: float) -> Hall:
    return dataclasses.replace(hall, speaker=dataclasses.replace(hall.speaker, level_at_1m_dba=level_dba))


def test_the_needed_level_reaches_the_worst_place_and_the_most_is_safe_at_the_nearest(
    bare_gym: Hall,
) -> None:
    level = loudness(bare_gym)
    needed, most = (floor_map(with_level(bare_gym, each)) for each in (level.needed_dba, level.most_dba))
    assert needed.level_dba[needed.in_class].min() == pytest.approx(60.0 + ENOUGH_OVER_NOISE_DB)
    assert most.level_dba[most.in_class].max() == pytest.approx(VOICE_CEILING_DBA)


def test_the_advised_level_never_passes_the_safe_most(bare_gym: Hall) -> None:
    noisy = dataclasses.replace(bare_gym, noise=dataclasses.replace(bare_gym.noise, listening_dba=74.0))
    level = loudness(noisy)
    assert level.needed_dba > level.most_dba == level.advised_dba
    assert loudness(bare_gym).advised_dba <= loudness(bare_gym).most_dba


def test_what_is_advised_does_not_depend_on_how_loud_the_speaker_happens_to_be(bare_gym: Hall) -> None:
    assert loudness(with_level(bare_gym, 60.0)).advised_dba == pytest.approx(loudness(bare_gym).advised_dba)


def test_a_speaker_behind_the_last_row_should_move(bare_gym: Hall) -> None:
    speaker = dataclasses.replace(bare_gym.speaker, at_m=(23.5, 11.5, 1.8), aim_m=(24.0, 12.0, 1.8))
    hall = dataclasses.replace(bare_gym, ceiling=(("acoustic-tiles", 1.0),), speaker=speaker)
    best, *_, last = places(hall)
    assert last.words == "where it is"
    assert best.mean_sti > last.mean_sti + 0.03


def test_no_place_is_credited_with_an_unsafe_level() -> None:
    loud = parse_hall('like = "treated-gym"\n[speaker]\nlevel_at_1m_dba = 108\n', "hall.toml")
    safe = with_level(loud, loudness(loud).most_dba)
    credited = {place.words: place.mean_sti for place in places(loud)}
    honest = {place.words: place.mean_sti for place in places(safe)}
    assert credited["where it is"] == pytest.approx(honest["where it is"])


def test_places_are_inside_the_hall_and_clearest_first() -> None:
    hall = preset("sports-hall")
    found = places(hall)
    assert [place.mean_sti for place in found] == sorted((place.mean_sti for place in found), reverse=True)
    assert all(0 < place.at_m[0] < hall.length_m and 0 < place.at_m[1] < hall.width_m for place in found)

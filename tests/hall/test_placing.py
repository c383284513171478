from __future__ import annotations

import dataclasses

import pytest

from caller.hall.grid import floor_map
from caller.hall.model import Hall
from caller.hall.placing import ENOUGH_OVER_NOISE_DB, VOICE_CEILING_DBA, loudness, places
from caller.hall.reading import parse_hall, preset


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

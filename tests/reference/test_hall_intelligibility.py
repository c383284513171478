"""The speech transmission index: held against worked values and independent libraries.

Recipe and weights: IEC 60268-16 ed. 5 (2020) / ed. 4 (2011); weights and spectrum found in the open-source
projects `stipa` (zawi01) and `pyrato`. "calc" values come from the project's acoustics notes, computed
independently of this code; several of them also agreed with pyrato 1.1.0 to four digits there.
"""

from __future__ import annotations

import numpy as np
import pytest

from caller.hall.bands import SPEECH_SPECTRUM_DB, octave_bands
from caller.hall.intelligibility import (
    energy_modulation,
    index,
    letter,
    noise_factor,
    room_modulation,
    sti,
    transmission_indices,
    word,
    words_heard,
)

SNRS_DB = (None, 15, 10, 6, 3, 0, -3, -6)
TABLE = {
    0.5: (0.736, 0.700, 0.641, 0.569, 0.502, 0.423, 0.336, 0.244),
    0.8: (0.639, 0.610, 0.568, 0.511, 0.453, 0.382, 0.300, 0.210),
    1.0: (0.5882, 0.565, 0.5302, 0.480, 0.426, 0.358, 0.279, 0.191),
    1.5: (0.498, 0.483, 0.4588, 0.419, 0.372, 0.311, 0.236, 0.154),
    2.0: (0.4371, 0.427, 0.407, 0.3727, 0.331, 0.2736, 0.202, 0.129),
    3.0: (0.357, 0.349, 0.334, 0.306, 0.269, 0.217, 0.156, 0.095),
    5.0: (0.263, 0.257, 0.245, 0.223, 0.193, 0.152, 0.104, 0.057),
}


@pytest.mark.parametrize("t_s", TABLE)
def test_sti_of_echo_and_noise_is_as_worked(t_s: float) -> None:
    room = room_modulation(np.full(7, t_s))
    found = [
        float(
            sti(room)
            if snr is None
            else sti(room, speech_db=np.full(7, 60.0 + snr), noise_db=np.full(7, 60.0))
        )
        for snr in SNRS_DB
    ]
    assert found == pytest.approx(TABLE[t_s], abs=0.00051)


@pytest.mark.parametrize("snr_db", [-15, -10, -5, 0, 5, 10, 15])
def test_without_echo_sti_is_the_clipped_signal_to_noise_ratio(snr_db: float) -> None:
    found = sti(room_modulation(np.zeros(7)), speech_db=np.full(7, snr_db + 50.0), noise_db=np.full(7, 50.0))
    assert float(found) == pytest.approx((snr_db + 15) / 30, abs=1e-9)  # exact


def test_the_modulations_at_2_s_and_0_db_are_as_worked() -> None:
    m = room_modulation(np.full(7, 2.0)) * noise_factor(np.zeros(7), np.zeros(7))[:, None]
    expected = (
        0.4337, 0.4041, 0.3697, 0.3300, 0.2829, 0.2407, 0.2011,
        0.1646, 0.1324, 0.1073, 0.0859, 0.0680, 0.0546, 0.0438,
    )  # fmt: skip
    assert m[3] == pytest.approx(expected, abs=5.1e-5)  # calc


HALL_S = np.array([2.4, 2.2, 2.0, 1.9, 1.7, 1.3, 0.9])
CLASS_DB = np.array([62, 66, 70, 72, 70, 62, 52.0])


@pytest.mark.parametrize(
    ("speech_dba", "unmasked", "masked"),
    [
        (70, 0.1358, 0.1351),
        (75, 0.2396, 0.2380),
        (80, 0.3402, 0.3367),
        (85, 0.4121, 0.4040),
        (90, 0.4528, 0.4357),
    ],
)
def test_the_full_example_is_as_worked(speech_dba: float, unmasked: float, masked: float) -> None:
    speech = np.array(SPEECH_SPECTRUM_DB) + speech_dba
    room = room_modulation(HALL_S)
    assert float(sti(room, speech_db=speech, noise_db=CLASS_DB)) == pytest.approx(unmasked, abs=1e-4)
    assert float(sti(room, speech_db=speech, noise_db=CLASS_DB, masking=True)) == pytest.approx(
        masked, abs=1e-4
    )


def test_the_full_examples_band_indices_are_as_worked() -> None:
    speech = np.array(SPEECH_SPECTRUM_DB) + 80
    m = room_modulation(HALL_S) * noise_factor(speech, CLASS_DB)[:, None]
    expected = [0.3922, 0.4069, 0.4069, 0.3209, 0.2473, 0.3284, 0.4590]
    assert transmission_indices(m) == pytest.approx(expected, abs=1e-4)  # calc


@pytest.mark.parametrize(("speech_dba", "expected"), [(70, 0.4175), (75, 0.4532), (80, 0.4666)])
def test_hushing_the_class_is_worth_more_than_ten_decibels(speech_dba: float, expected: float) -> None:
    speech = np.array(SPEECH_SPECTRUM_DB) + speech_dba
    room = room_modulation(HALL_S)
    hushed = float(sti(room, speech_db=speech, noise_db=CLASS_DB - 15.63, masking=True))
    assert hushed == pytest.approx(expected, abs=1e-4)  # calc, with masking
    louder = float(sti(room, speech_db=speech + 10, noise_db=CLASS_DB, masking=True))
    assert hushed > louder


@pytest.mark.parametrize(("speech_dba", "shift_db", "expected"), [(80, 0.0, 0.4104), (75, -15.63, 0.5537)])
def test_the_treated_gym_is_as_worked(speech_dba: float, shift_db: float, expected: float) -> None:
    room = room_modulation(np.array([1.46, 1.14, 1.06, 0.97, 0.92, 0.88, 0.7]))
    speech = np.array(SPEECH_SPECTRUM_DB) + speech_dba
    found = float(sti(room, speech_db=speech, noise_db=CLASS_DB + shift_db, masking=True))
    assert found == pytest.approx(expected, abs=1e-4)  # calc, with masking


def test_direct_and_reverberant_sound_add_as_worked() -> None:
    distance = np.array([1, 2, 4, 8, 16.0])
    ratio = np.repeat((3.16 / distance[:, None]) ** 2, 7, axis=1)
    found = index(room_modulation(np.full(7, 3.0), direct_to_reverberant=ratio))
    assert found == pytest.approx([0.865, 0.674, 0.508, 0.401, 0.363], abs=0.0011)  # calc


def test_weights_add_up_so_that_equal_bands_give_their_own_index() -> None:
    m = np.full((7, 14), 0.5)
    assert float(index(m)) == pytest.approx(0.5, abs=1e-9)  # calc: sum(alpha) - sum(beta) = 1


@pytest.mark.parametrize(
    ("value", "name", "plain"),
    [
        (0.77, "A+", "excellent"), (0.75, "A", "excellent"), (0.70, "B", "good"), (0.66, "C", "good"),
        (0.60, "D", "good"), (0.58, "E", "fair"), (0.54, "F", "fair"), (0.50, "G", "fair"),
        (0.45, "H", "fair"), (0.42, "I", "poor"), (0.37, "J", "poor"), (0.30, "U", "poor"),
        (0.29, "U", "bad"),
    ],
)  # fmt: skip
def test_letters_and_words_are_the_standards(value: float, name: str, plain: str) -> None:
    # Letters: IEC 60268-16 annex G, from memory. Words: found.
    assert (letter(value), word(value)) == (name, plain)


def test_word_scores_meet_iso_9921_at_the_edges_of_its_bands() -> None:
    # ISO 9921:2003, found in H. Steeneken's slides: 60, 80, 93, 98 % of words.
    assert [words_heard(v) for v in (0.30, 0.45, 0.60, 0.75)] == pytest.approx([0.60, 0.80, 0.93, 0.98])


def exponential_noise(t_s: float, rate_hz: int, seed: int) -> np.ndarray:
    time_s = np.arange(int(1.6 * t_s * rate_hz)) / rate_hz
    noise = np.random.default_rng(seed).standard_normal(time_s.size)
    return np.asarray(noise * 10.0 ** (-3.0 * time_s / t_s))


@pytest.mark.parametrize("t_s", [0.5, 1.0, 2.0, 3.0])
def test_an_impulse_response_gives_the_sti_of_its_decay(t_s: float) -> None:
    rate = 48_000
    found = np.mean(
        [
            float(index(energy_modulation(octave_bands(exponential_noise(t_s, rate, s), rate) ** 2, rate)))
            for s in range(4)
        ]
    )
    assert found == pytest.approx(TABLE[t_s][0], abs=0.006)

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import butter, sosfilt

from caller.hall.bands import OCTAVES_HZ, octave_bands, spectrum_size


@pytest.mark.parametrize("band", range(7))
def test_a_tone_at_a_centre_stays_in_its_band(band: int) -> None:
    tone = np.sin(2 * np.pi * OCTAVES_HZ[band] * np.arange(48_000) / 48_000)
    power_db = 10 * np.log10((octave_bands(tone, 48_000)[:, 12_000:] ** 2).mean(axis=1) / 0.5)
    assert power_db[band] == pytest.approx(0.0, abs=0.3)  # IEC 61260-1 class 1: ± 0.4 dB (from memory)
    others = np.delete(power_db, band)
    assert (others < -35).all()  # one octave off centre: class 1 asks for 16.6 dB or more


@pytest.mark.parametrize("rate_hz", [24_000, 44_100, 48_000])
def test_each_band_is_the_recursive_butterworth_filter_of_scipy(rate_hz: int) -> None:
    noise = np.random.default_rng(1).standard_normal(2 * rate_hz)
    theirs = [
        sosfilt(butter(6, (hz / 2**0.5, hz * 2**0.5), "bandpass", fs=rate_hz, output="sos"), noise)
        for hz in OCTAVES_HZ
    ]
    np.testing.assert_allclose(octave_bands(noise, rate_hz), theirs, atol=1e-10)


def test_white_noise_has_3_db_more_in_each_higher_octave() -> None:
    noise = np.random.default_rng(0).standard_normal(480_000)
    power_db = 10 * np.log10((octave_bands(noise, 48_000) ** 2).mean(axis=1))
    assert np.diff(power_db) == pytest.approx(np.full(6, 10 * np.log10(2)), abs=0.4)


@pytest.mark.parametrize(
    ("signal", "rate_hz", "told"),
    [
        (np.zeros((2, 10)), 48_000, "octave bands need one channel of finite samples"),
        (np.array([np.inf, 0.0]), 48_000, "octave bands need one channel of finite samples"),
        (np.zeros(10), 22_050, "octave bands up to 8 kHz need 24000 samples a second, not 22050"),
    ],
)
def test_what_cannot_be_split_is_refused(signal: np.ndarray, rate_hz: int, told: str) -> None:
    with pytest.raises(ValueError, match=f"^{told}$"):
        octave_bands(signal, rate_hz)


@given(st.integers(1, 3_000_000))
def test_a_spectrum_is_even_quickly_found_and_hardly_longer_than_it_must_be(least: int) -> None:
    size = left = spectrum_size(least)
    for factor in (2, 3, 5):
        while left % factor == 0:
            left //= factor
    assert left == 1
    assert size % 2 == 0
    assert least <= size <= max(1.12 * least, least + 9)

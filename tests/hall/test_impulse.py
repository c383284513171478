from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import fftconvolve

from caller.hall.impulse import Sweep, band_decays, decay_curve_db, exponential_sweep, impulse_response, onset


@pytest.fixture(scope="module")
def sweep() -> Sweep:
    return exponential_sweep(length_s=3.0)


def recorded(sweep: Sweep, response: np.ndarray, *, latency: int, tail: int) -> np.ndarray:
    played = np.concatenate([np.zeros(latency), sweep.samples, np.zeros(tail)])
    return np.asarray(fftconvolve(played, response)[: played.size])


def test_a_sweep_rises_from_its_lowest_to_its_highest_frequency_within_its_amplitude(sweep: Sweep) -> None:
    assert sweep.length_s == 3.0
    assert np.abs(sweep.samples).max() <= 0.25
    turns = np.diff(np.signbit(sweep.samples).astype(int)) != 0
    first, last = turns[: sweep.rate_hz // 4].sum(), turns[-sweep.rate_hz // 100 :].sum()
    assert first / 2 / 0.25 == pytest.approx(60 * (16000 / 60) ** (0.125 / 3), rel=0.1)
    assert last / 2 / 0.01 == pytest.approx(16000, rel=0.03)


def test_a_wire_gives_one_click_at_its_delay_with_its_gain(sweep: Sweep) -> None:
    response = impulse_response(recorded(sweep, np.array([0.0, 0.0, 0.5]), latency=100, tail=2000), sweep)
    assert int(np.abs(response).argmax()) == 102
    gain = np.abs(np.fft.rfft(response))[np.fft.rfftfreq(response.size, 1 / sweep.rate_hz).searchsorted(1000)]
    assert gain == pytest.approx(0.5, rel=0.02)
    assert response.size == 2101


def test_a_response_is_recovered_within_the_sweeps_band(sweep: Sweep) -> None:
    rng = np.random.default_rng(3)
    time_s = np.arange(24_000) / sweep.rate_hz
    response = rng.standard_normal(time_s.size) * 10 ** (-3 * time_s / 0.4)
    found = impulse_response(recorded(sweep, response, latency=0, tail=30_000), sweep)[: response.size]
    got, want = np.fft.rfft(found), np.fft.rfft(response)
    hz = np.fft.rfftfreq(response.size, 1 / sweep.rate_hz)
    speech = (hz > 88) & (hz < 11_300)
    error = np.linalg.norm((got - want)[speech]) / np.linalg.norm(want[speech])
    assert error < 0.03


def test_a_loudspeakers_distortion_does_not_reach_the_response(sweep: Sweep) -> None:
    played = np.concatenate([sweep.samples, np.zeros(48_000)])
    distorted = played + 0.4 * played**2 + 0.8 * played**3
    response = impulse_response(distorted, sweep)
    assert np.abs(response[200:]).max() < 0.01 * np.abs(response).max()


def test_a_recording_shorter_than_the_sweep_is_refused(sweep: Sweep) -> None:
    with pytest.raises(ValueError, match=r"^the recording is shorter than the sweep$"):
        impulse_response(np.zeros(100), sweep)


def test_a_sweep_above_half_the_sampling_rate_is_refused() -> None:
    with pytest.raises(
        ValueError, match=r"^a sweep from 60 to 16000 Hz does not fit 22050 samples a second$"
    ):
        exponential_sweep(rate_hz=22_050)


RATE_HZ = 32_000


def decaying_noise(
    t_s: float, seed: int, *, noise_db: float | None = None, length_s: float | None = None
) -> np.ndarray:
    rng = np.random.default_rng(seed)
    time_s = np.arange(int((length_s or max(1.7, 1.5 * t_s)) * RATE_HZ)) / RATE_HZ
    response = rng.standard_normal(time_s.size) * 10 ** (-3 * time_s / t_s)
    if noise_db is not None:
        response += rng.standard_normal(time_s.size) * 10 ** (noise_db / 20)
    return np.asarray(response)


@pytest.mark.parametrize("t_s", [0.4, 1.0, 2.0, 4.0])
@pytest.mark.parametrize("noise_db", [None, -55.0, -45.0])
def test_a_decay_in_noise_gives_its_reverberation_time(t_s: float, noise_db: float | None) -> None:
    # Noise bursts differ from seed to seed, most in the narrow low bands: the mean of eight is what is
    # known.
    decays = [band_decays(decaying_noise(t_s, seed, noise_db=noise_db), RATE_HZ) for seed in range(8)]
    times = np.array([[band.t20_s or np.nan for band in each] for each in decays])
    assert np.isfinite(times).mean() > 0.9  # a burst may cost a band its range now and then
    assert np.nanmean(times[:, 2:], axis=0) == pytest.approx(np.full(5, t_s), rel=0.04)
    assert np.nanmean(times) == pytest.approx(t_s, rel=0.03)


def test_a_bent_decay_shows_in_early_and_late_times() -> None:
    time_s = np.arange(3 * RATE_HZ) / RATE_HZ
    noise = np.random.default_rng(5).standard_normal(time_s.size)
    envelope = np.sqrt(10 ** (-6 * time_s / 0.5) + 0.01 * 10 ** (-6 * time_s / 2.5))
    band = band_decays(noise * envelope, RATE_HZ)[4]
    assert band.edt_s is not None
    assert band.t20_s is not None
    assert band.t30_s is not None
    assert band.edt_s < 0.75 * band.t20_s < 0.75 * band.t30_s


def test_too_little_range_gives_no_time_rather_than_a_wrong_one() -> None:
    for band in band_decays(decaying_noise(1.5, 1, noise_db=-22.0), RATE_HZ):
        assert band.t30_s is None
        assert band.t20_s is None
        assert band.range_db < 30.0


def test_t30_asks_for_ten_more_decibels_than_t20() -> None:
    band = band_decays(decaying_noise(1.5, 2, noise_db=-40.0), RATE_HZ)[5]
    assert 35.0 <= band.range_db < 45.0
    assert band.t20_s is not None
    assert band.t30_s is None


def test_noise_alone_has_no_decay() -> None:
    noise = np.random.default_rng(7).standard_normal(2 * RATE_HZ)
    assert all(band.t20_s is None for band in band_decays(noise, RATE_HZ))


def test_the_onset_is_the_first_sample_within_20_db_of_the_peak() -> None:
    response = np.zeros(1000)
    response[300:303] = (0.05, 0.2, 1.0)
    assert onset(response) == 301


def test_what_is_less_than_its_noise_gives_a_curve_without_a_warning() -> None:
    with np.errstate(all="raise"):
        assert np.isfinite(decay_curve_db(np.ones(10), 10, 2.0, -100.0)).all()

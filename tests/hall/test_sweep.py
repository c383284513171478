from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import fftconvolve

from caller.hall.sweep import Sweep, exponential_sweep, impulse_response


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

"""Clips are brought to a loudness, their peaks held, and nothing else is done to them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.signal import resample_poly

from caller.sound import (
    BACKGROUND_BELOW_SPEECH_DB,
    CEILING_DBTP,
    SAMPLE_RATE,
    VOICE_CEILING_DBTP,
    VOICE_LUFS,
    to_gain,
)
from caller.sound.loudness import (
    SILENT_DB,
    PeakMeter,
    clip_loudness_db,
    integrated_lufs,
    limit_true_peak,
    loudest_rms_db,
    match_loudness,
    true_peak_db,
)


def sine(hz: float, seconds: float, peak: float = 1.0) -> NDArray[np.float32]:
    return (peak * np.sin(2 * np.pi * hz * np.arange(round(seconds * SAMPLE_RATE)) / SAMPLE_RATE)).astype(
        np.float32
    )


def babble(seed: int, seconds: float) -> NDArray[np.float32]:
    """Noise that comes and goes like syllables, with sharp peaks."""
    random = np.random.default_rng(seed)
    count = round(seconds * SAMPLE_RATE)
    envelope = np.interp(
        np.arange(count),
        np.arange(0, count + 4_800, 4_800),
        random.uniform(0.02, 1, len(range(0, count + 4_800, 4_800))),
    )
    return (envelope * random.laplace(scale=0.05, size=count)).astype(np.float32)


def test_the_levels_leave_room_for_each_other() -> None:
    assert VOICE_CEILING_DBTP < CEILING_DBTP <= -1.0
    assert BACKGROUND_BELOW_SPEECH_DB >= 20.0
    assert to_gain(-20.0) == pytest.approx(0.1)


def test_silence_and_nothing_are_silent() -> None:
    for samples in (np.zeros(0, np.float32), np.zeros(100, np.float32), np.zeros(SAMPLE_RATE, np.float32)):
        assert integrated_lufs(samples) == SILENT_DB
        assert loudest_rms_db(samples) == SILENT_DB
        assert true_peak_db(samples) == SILENT_DB
        np.testing.assert_array_equal(match_loudness(samples, target_db=-18, ceiling_dbtp=-2), samples)


@pytest.mark.parametrize("seconds", [0.05, 0.3, 0.39, 0.41, 2.0])
def test_a_short_clip_is_measured_like_a_long_one(seconds: float) -> None:
    assert clip_loudness_db(sine(997.0, seconds, 0.5)) == pytest.approx(-9.03, abs=0.05)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), seconds=st.floats(0.1, 3.0), before_db=st.floats(-40.0, 15.0))
def test_any_clip_comes_to_the_voices_level_under_its_ceiling(
    seed: int, seconds: float, before_db: float
) -> None:
    samples = babble(seed, seconds) * np.float32(to_gain(before_db))
    matched = match_loudness(samples, target_db=VOICE_LUFS, ceiling_dbtp=VOICE_CEILING_DBTP)
    assert matched.shape == samples.shape
    assert matched.dtype == np.float32
    assert true_peak_db(matched) <= VOICE_CEILING_DBTP + 0.001
    assert clip_loudness_db(matched) == pytest.approx(VOICE_LUFS, abs=0.5)


def test_what_is_under_the_ceiling_is_left_alone() -> None:
    samples = sine(440.0, 0.5, 0.7)
    np.testing.assert_array_equal(limit_true_peak(samples, ceiling_dbtp=-2.5), samples)


def test_limiting_turns_down_around_a_peak_and_nowhere_else() -> None:
    samples = sine(440.0, 1.0, 0.2)
    samples[24_000:24_010] += 0.8
    limited = limit_true_peak(samples, ceiling_dbtp=-6.0)
    changed = np.flatnonzero(limited != samples)
    assert 24_000 - 500 < changed[0] < 24_000 < changed[-1] < 24_010 + 500
    assert true_peak_db(limited) <= -6.0


@given(
    bursts=st.lists(st.tuples(st.integers(0, 39_990), st.floats(0.3, 1.0)), max_size=6),
    channels=st.sampled_from([1, 2]),
)
@settings(max_examples=40, deadline=None)
def test_wherever_peaks_are_they_are_turned_down_and_nothing_else_is(
    bursts: list[tuple[int, float]], channels: int
) -> None:
    """By scipy's own oversampling, as the meter reads; the library knows no pieces."""
    samples = np.repeat(sine(440.0, 40_000 / SAMPLE_RATE, 0.2)[:, np.newaxis], channels, axis=1)
    for number, (at, size) in enumerate(bursts):
        samples[at : at + 10, number % channels] += np.float32(size)
    limited = limit_true_peak(samples.squeeze(), ceiling_dbtp=-12.0).reshape(samples.shape)
    for channel in limited.T:
        assert np.abs(resample_poly(channel, 4, 1)).max() < to_gain(-12.0 + 0.2)
    far = np.ones(len(samples), np.bool_)
    for at, _ in bursts:
        far[max(at - 500, 0) : at + 510] = False
    # What is taken off in the end, so that nothing is over the ceiling by a hundredth, is taken off all.
    assert np.abs(limited - samples)[far].max(initial=0.0) < 0.003


def test_a_peak_is_found_wherever_it_is_and_in_blocks_of_any_length() -> None:
    for at in (0, 3, 4_090, 4_096, 8_191, 19_995):
        samples = np.zeros(20_000, np.float32)
        samples[at : at + 2] = 0.5  # between two equal samples the wave is higher than either
        whole = true_peak_db(samples)
        assert whole > 20 * np.log10(0.55)
        meter = PeakMeter()
        for start in range(0, 20_000, 700):
            meter.add(samples[start : start + 700])
        assert meter.dbtp() == pytest.approx(whole, abs=1e-6)

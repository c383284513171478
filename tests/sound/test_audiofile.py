"""Resampling keeps what a tone is: its frequency, its level and its length."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from caller.sound import SAMPLE_RATE
from caller.sound.audiofile import to_sample_rate
from caller.sound.voice_engine import equalised


@settings(max_examples=30, deadline=None)
@given(
    rate=st.sampled_from([8_000, 11_025, 16_000, 22_050, 24_000, 32_000, 44_100, 48_000, 96_000, 191_999]),
    share=st.floats(0.02, 0.94),
)
def test_a_tone_keeps_its_frequency_level_and_length(rate: int, share: float) -> None:
    hz = share * min(rate, SAMPLE_RATE) / 2
    tone = (0.5 * np.sin(2 * np.pi * hz * np.arange(rate) / rate)).astype(np.float32)
    resampled = to_sample_rate(tone, rate)
    assert resampled.dtype == np.float32
    assert resampled.size == SAMPLE_RATE
    middle = slice(SAMPLE_RATE // 10, -SAMPLE_RATE // 10)
    expected = 0.5 * np.sin(2 * np.pi * hz * np.arange(SAMPLE_RATE) / SAMPLE_RATE)
    np.testing.assert_allclose(resampled[middle], expected[middle], atol=2e-5)


def test_nothing_stays_nothing() -> None:
    assert to_sample_rate(np.zeros(0, np.float32), 22_050).size == 0


@pytest.mark.parametrize("rate", [22_050, 44_100, 96_000])
def test_an_end_cut_off_short_does_not_ring_into_the_beginning(rate: int) -> None:
    samples = np.zeros(rate, np.float32)
    samples[rate // 2 :] = 0.5
    assert np.abs(to_sample_rate(samples, rate)[: SAMPLE_RATE // 4]).max() < 1e-4


def test_what_the_lower_rate_cannot_hold_is_left_out() -> None:
    """40 kHz would be heard as 8 kHz."""
    tone = np.sin(2 * np.pi * 40_000 * np.arange(96_000) / 96_000).astype(np.float32)
    assert np.abs(to_sample_rate(tone, 96_000)[4_800:-4_800]).max() < 1e-5


def quickest_s(change: Callable[[NDArray[np.float32], int], object], count: int) -> float:
    """Return the least processor time, of several, in which so many samples of the engine are changed."""
    samples = np.random.default_rng(count).normal(0.0, 0.1, count).astype(np.float32)
    took_s = []
    for _ in range(5):
        begun_s = time.process_time()
        change(samples, 22_050)
        took_s.append(time.process_time() - begun_s)
    return min(took_s)


@pytest.mark.parametrize("change", [equalised, to_sample_rate])
def test_a_clip_of_any_length_is_changed_in_about_the_same_time(
    change: Callable[[NDArray[np.float32], int], object],
) -> None:
    """65,521 is a prime, and with the silence behind it 461 times the engine's shortest unit, a prime too."""
    assert quickest_s(change, 65_521) < 4 * quickest_s(change, 64_000)

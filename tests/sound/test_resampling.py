"""Resampling keeps what a tone is: its frequency, its level and its length."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caller.sound.levels import SAMPLE_RATE
from caller.sound.resampling import clarify, to_sample_rate


@settings(max_examples=30, deadline=None)
@given(
    rate=st.sampled_from([8_000, 11_025, 16_000, 22_050, 24_000, 32_000, 44_100, 48_000, 96_000]),
    share=st.floats(0.02, 0.8),
)
def test_a_tone_keeps_its_frequency_level_and_length(rate: int, share: float) -> None:
    hz = share * min(rate, SAMPLE_RATE) / 2
    tone = (0.5 * np.sin(2 * np.pi * hz * np.arange(rate) / rate)).astype(np.float32)
    resampled = to_sample_rate(tone, rate)
    assert resampled.dtype == np.float32
    assert resampled.size == SAMPLE_RATE
    middle = slice(SAMPLE_RATE // 10, -SAMPLE_RATE // 10)
    expected = 0.5 * np.sin(2 * np.pi * hz * np.arange(SAMPLE_RATE) / SAMPLE_RATE)
    np.testing.assert_allclose(resampled[middle], expected[middle], atol=0.005)


def test_nothing_stays_nothing() -> None:
    assert to_sample_rate(np.zeros(0, np.float32), 22_050).size == 0


@pytest.mark.parametrize(
    ("hz", "change_db", "within_db"),
    [(50, -19.1, 0.3), (150, -3.01, 0.1), (600, 0.0, 0.1), (3_000, 0.0, 0.05)],
)
def test_the_clearer_voice_loses_its_boom_only(hz: float, change_db: float, within_db: float) -> None:
    # Second-order Butterworth high-pass: |H| = (f/fc)² / sqrt(1 + (f/fc)⁴).
    tone = np.sin(2 * np.pi * hz * np.arange(SAMPLE_RATE) / SAMPLE_RATE).astype(np.float32)
    later = slice(SAMPLE_RATE // 2, None)
    ratio = np.std(clarify(tone)[later]) / np.std(tone[later])
    assert 20 * np.log10(ratio) == pytest.approx(change_db, abs=within_db)

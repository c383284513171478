"""Loudness and true peak against published signals, and against a second meter.

- EBU Tech 3341 (2016), table 1: signals 1 to 6 (integrated) and 15 to 19 (true peak), with its tolerances
  of 0.1 LU and +0.2/-0.4 dB.  Levels of its sines are peaks of each channel.
- ITU-R BS.1770-5: a 997 Hz sine of 0 dBFS in one front channel reads -3.01 LKFS.
- FFmpeg's filter `ebur128`, which comes with PyAV: recursive filters in C, gated by histogram.
- pyloudnorm, another implementation of BS.1770; its own filter reads 0.04 LU low, so 0.1 LU is asked of it.
"""

from __future__ import annotations

import math
from fractions import Fraction

import av
import av.filter
import numpy as np
import pyloudnorm
import pytest
from numpy.typing import NDArray

from caller.sound import SAMPLE_RATE, VOICE_CEILING_DBTP, VOICE_LUFS
from caller.sound.loudness import integrated_lufs, loudest_rms_db, match_loudness, true_peak_db


def stereo(*steps: tuple[float, float]) -> NDArray[np.float32]:
    """Return a 1 kHz sine in phase in both channels, in steps of (dBFS, seconds)."""
    level = np.concatenate([np.full(round(seconds * SAMPLE_RATE), 10 ** (db / 20)) for db, seconds in steps])
    sound = level * np.sin(2 * np.pi * 1_000 * np.arange(level.size) / SAMPLE_RATE)
    return np.stack((sound, sound), axis=1).astype(np.float32)


@pytest.mark.parametrize(
    ("number", "steps", "expected"),
    [
        (1, [(-23, 20)], -23.0),
        (2, [(-33, 20)], -33.0),
        (3, [(-36, 10), (-23, 60), (-36, 10)], -23.0),
        (4, [(-72, 10), (-36, 10), (-23, 60), (-36, 10), (-72, 10)], -23.0),
        (5, [(-26, 20), (-20, 20.1), (-26, 20)], -23.0),
    ],
)
def test_stereo_signals_of_ebu_tech_3341(
    number: int, steps: list[tuple[float, float]], expected: float
) -> None:
    assert integrated_lufs(stereo(*steps)) == pytest.approx(expected, abs=0.1), number


def test_surround_signal_6_of_ebu_tech_3341() -> None:
    sine = np.sin(2 * np.pi * 1_000 * np.arange(20 * SAMPLE_RATE) / SAMPLE_RATE)
    channels = [10 ** (db / 20) * sine for db in (-28, -28, -24, -30, -30)]
    assert integrated_lufs(np.stack(channels, axis=1).astype(np.float32)) == pytest.approx(-23.0, abs=0.1)


@pytest.mark.parametrize(
    ("number", "divisor", "degrees", "scale", "expected"),
    [
        (15, 4, 0.0, 0.5, -6.0),
        (16, 4, 45.0, 0.5, -6.0),
        (17, 6, 60.0, 0.5, -6.0),
        (18, 8, 67.5, 0.5, -6.0),
        (19, 4, 45.0, 1.41, 3.0),
    ],
)
def test_true_peak_signals_of_ebu_tech_3341(
    number: int, divisor: int, degrees: float, scale: float, expected: float
) -> None:
    count = SAMPLE_RATE
    sine = scale * np.sin(2 * np.pi * np.arange(count) / divisor + np.radians(degrees))
    fade = np.minimum(1.0, np.minimum(np.arange(count), np.arange(count)[::-1]) / 2_400)
    peak_db = true_peak_db((sine * fade).astype(np.float32))
    assert expected - 0.4 <= peak_db <= expected + 0.2, number


def test_the_reference_sine_of_bs_1770_and_the_same_by_rms() -> None:
    sine = np.sin(2 * np.pi * 997 * np.arange(10 * SAMPLE_RATE) / SAMPLE_RATE).astype(np.float32)
    assert integrated_lufs(sine) == pytest.approx(-3.01, abs=0.005)
    assert loudest_rms_db(sine) == pytest.approx(-3.01, abs=0.005)


def test_mono_reads_three_lower_than_the_same_in_both_channels() -> None:
    both = stereo((-23, 5))
    assert integrated_lufs(both) - integrated_lufs(both[:, 0]) == pytest.approx(3.01, abs=0.01)


def syllables(seed: int, seconds: float) -> NDArray[np.float32]:
    """Coloured noise that comes and goes, silences among it."""
    random = np.random.default_rng(seed)
    count = round(seconds * SAMPLE_RATE)
    noise = np.cumsum(random.normal(size=count))
    noise -= np.convolve(noise, np.ones(200) / 200, mode="same")
    steps = random.uniform(0, 1, round(seconds * 4) + 1) * (random.uniform(size=round(seconds * 4) + 1) > 0.3)
    envelope = np.interp(np.arange(count), np.arange(steps.size) * SAMPLE_RATE / 4, steps)
    return np.asarray(2.0 * envelope * noise / np.abs(noise).max(), np.float32)


def by_ffmpeg(samples: NDArray[np.float32]) -> tuple[float, float]:
    """Return LUFS and dBTP as FFmpeg's meter has them behind the last frame."""
    graph = av.filter.Graph()
    source = graph.add_abuffer(
        format="flt", sample_rate=SAMPLE_RATE, layout="mono", time_base=Fraction(1, SAMPLE_RATE)
    )
    meter, sink = graph.add("ebur128", "metadata=1:peak=true"), graph.add("abuffersink")
    source.link_to(meter)
    meter.link_to(sink)
    graph.configure()
    told: dict[str, str] = {}
    for start in range(0, samples.size, SAMPLE_RATE // 10):
        frame = av.AudioFrame.from_ndarray(
            samples[np.newaxis, start : start + SAMPLE_RATE // 10], format="flt", layout="mono"
        )
        frame.sample_rate, frame.pts = SAMPLE_RATE, start
        source.push(frame)
        told.update(sink.pull().metadata)
    return float(told["lavfi.r128.I"]), 20 * math.log10(float(told["lavfi.r128.true_peak"]))


@pytest.mark.parametrize("seed", range(6))
def test_any_clip_reads_the_same_on_ffmpegs_meter(seed: int) -> None:
    # Whole steps of 100 ms, and silence behind: FFmpeg leaves out what is inside its filters at the end.
    clip = np.pad(syllables(seed, 6.0 + seed), (0, SAMPLE_RATE))
    lufs, dbtp = by_ffmpeg(clip)
    assert integrated_lufs(clip) == pytest.approx(lufs, abs=0.006)
    assert true_peak_db(clip) == pytest.approx(dbtp, abs=0.2)  # Tech 3341; its interpolator is another


@pytest.mark.parametrize("seed", range(4))
def test_a_matched_clip_reads_the_same_on_another_meter(seed: int) -> None:
    random = np.random.default_rng(seed)
    samples = np.cumsum(random.normal(size=4 * SAMPLE_RATE))
    samples -= np.convolve(samples, np.ones(200) / 200, mode="same")
    samples = (samples / np.abs(samples).max() * 0.3).astype(np.float32)
    matched = match_loudness(samples, target_db=VOICE_LUFS, ceiling_dbtp=VOICE_CEILING_DBTP)
    meter = pyloudnorm.Meter(SAMPLE_RATE)
    assert meter.integrated_loudness(matched.astype(np.float64)) == pytest.approx(VOICE_LUFS, abs=0.2)

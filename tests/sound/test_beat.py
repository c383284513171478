"""The beat against what is asked of it: exact onsets, its level, room for words and beeps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from caller.sound import BEAT_CEILING_DBTP, BEAT_LUFS, CEILING_DBTP, SAMPLE_RATE, VOICE_LUFS
from caller.sound.beat import beat_onsets, bed
from caller.sound.loudness import integrated_lufs, loudest_rms_db, true_peak_db
from caller.sound.tones import BEAT, Tone, load_tones

SECOND = SAMPLE_RATE
OCTAVES_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)


def heard_onsets(samples: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return where the stick of a drum is heard (s): steps up of the sound above 2.5 kHz, by its own FFT."""
    spectrum = np.fft.rfft(samples.astype(float))
    spectrum[np.fft.rfftfreq(samples.size, 1 / SAMPLE_RATE) < 2_500.0] = 0.0
    high = np.abs(np.fft.irfft(spectrum, samples.size))
    width = 24  # half a millisecond
    energy = np.convolve(high, np.ones(width) / width)[: samples.size]
    loud = energy > 0.25 * energy.max()
    first = np.flatnonzero(loud & ~np.concatenate(([False], loud[:-1])))
    kept = [first[0]]
    for sample in first[1:]:
        if sample - kept[-1] > 0.05 * SAMPLE_RATE:
            kept.append(sample)
    return np.array(kept) / SAMPLE_RATE


def octave_levels_db(samples: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return the level of each octave band, by Parseval's theorem."""
    power = 2.0 * np.abs(np.fft.rfft(samples.astype(float))) ** 2 / samples.size**2
    hertz = np.fft.rfftfreq(samples.size, 1 / SAMPLE_RATE)
    bands = [(hertz >= f / np.sqrt(2)) & (hertz < f * np.sqrt(2)) for f in OCTAVES_HZ]
    return 10.0 * np.log10(np.array([power[band].sum() for band in bands]) + 1e-15)


def masked_db(noise_db: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the masked threshold by octaves: at most 7.5 dB lower an octave further up (ISO 7731 B)."""
    reach = [[noise_db[k] - 7.5 * (band - k) for k in range(band + 1)] for band in range(noise_db.size)]
    return np.array([max(levels) for levels in reach])


@pytest.mark.parametrize("mood", ["lively", "calm"])
@pytest.mark.parametrize("bpm", [120.0, 126.0, 132.0, 150.0, 167.0])
def test_every_drum_is_heard_within_two_milliseconds_of_its_beat(mood: str, bpm: float) -> None:
    made = bed(bpm=bpm, length=24 * SECOND, mood=mood, pattern=3)
    heard = heard_onsets(made.samples)
    beats = np.arange(int(23.8 * bpm / 60)) * 60.0 / bpm
    off_s = np.array([np.abs(heard - at).min() for at in beats])
    assert np.quantile(off_s, 0.99) <= 0.002


@given(st.floats(50, 220), st.integers(1, 60 * SAMPLE_RATE))
def test_beats_never_drift_from_the_sample_clock(bpm: float, length: int) -> None:
    onsets = np.array(beat_onsets(bpm, length))
    assert np.abs(onsets - np.arange(onsets.size) * 60.0 * SAMPLE_RATE / bpm).max() <= 0.5
    assert onsets[-1] < length + 1


@pytest.mark.parametrize("mood", ["lively", "calm"])
@pytest.mark.parametrize("pattern", range(6))
def test_a_bed_is_as_loud_as_the_levels_say_and_leaves_the_ceiling(mood: str, pattern: int) -> None:
    made = bed(bpm=120.0, length=16 * SECOND, mood=mood, pattern=pattern)
    assert integrated_lufs(made.samples) == pytest.approx(BEAT_LUFS, abs=0.3)
    assert true_peak_db(made.samples) <= CEILING_DBTP - 7.9
    assert 20 * np.log10(made.peak) == pytest.approx(true_peak_db(made.samples), abs=0.1)


def test_patterns_differ_and_each_is_the_same_every_time() -> None:
    beds = [bed(bpm=120.0, length=8 * SECOND, pattern=p).samples for p in range(8)]
    assert len({each.tobytes() for each in beds}) == 8
    bed.cache_clear()
    np.testing.assert_array_equal(bed(bpm=120.0, length=8 * SECOND, pattern=5).samples, beds[5])
    calm = bed(bpm=120.0, length=8 * SECOND, pattern=5, mood="calm")
    assert not np.array_equal(calm.samples, beds[5])


@pytest.mark.parametrize("mood", ["lively", "calm"])
@pytest.mark.parametrize("bpm", [120.0, 150.0])
@pytest.mark.parametrize("tone", ["beep", "tick", "time-up"])
def test_what_tells_the_time_stands_out_of_the_beat(mood: str, bpm: float, tone: str) -> None:
    """ISO 7731: an octave band 10 dB over its masked threshold (from memory), at the loudest moment."""
    signal = octave_levels_db(load_tones()[tone].samples[: SECOND // 5])
    for pattern in range(4):
        made = bed(bpm=bpm, length=16 * SECOND, mood=mood, pattern=pattern)
        windows = made.samples[: made.samples.size // 9_600 * 9_600].reshape(-1, 9_600)
        loudest = np.max([octave_levels_db(window) for window in windows], axis=0)
        assert (signal - masked_db(loudest)).max() >= 10.0


@given(
    st.lists(st.tuples(st.floats(-1, 9), st.floats(0.1, 3)), max_size=5),
    st.sampled_from(["lively", "calm"]),
)
@settings(deadline=None, max_examples=30)
def test_under_every_word_a_bed_is_20_db_down_and_nothing_of_it_is_lost(
    words: list[tuple[float, float]], mood: str
) -> None:
    """WCAG 2.2, success criterion 1.4.7: background at least 20 dB under the speech."""
    made = bed(bpm=120.0, length=8 * SECOND, mood=mood)
    spoken = [(round(at * SECOND), round((at + long) * SECOND)) for at, long in words]
    heard = np.zeros(made.samples.size, np.float32)
    at = 0
    for first, stretch in made.around(spoken):
        assert first == at
        heard[first : first + stretch.samples.size] = stretch.samples
        assert np.abs(stretch.samples).max(initial=0.0) <= stretch.peak
        at += stretch.samples.size
    assert at == made.samples.size
    for first, last in spoken:
        under = heard[max(first, 0) : max(last, 0)]
        if under.size >= SECOND // 5:
            assert loudest_rms_db(under) <= VOICE_LUFS - 20.0 + 0.01
        if under.size > SECOND // 2:
            assert true_peak_db(under) <= -19.9
    if not spoken:
        np.testing.assert_array_equal(heard, made.samples)


def test_a_bed_ends_in_silence_and_never_jumps() -> None:
    made = bed(bpm=120.0, length=5 * SECOND + 777)
    assert abs(made.samples[-1]) < 1e-4
    words = list(made.around([(SECOND, 2 * SECOND)]))
    joined = np.concatenate([stretch.samples for _, stretch in words])
    edges = [first for first, _ in words[1:]]
    steps = np.abs(np.diff(joined))
    assert all(steps[edge - 1] <= np.abs(np.diff(made.samples)).max() + 1e-3 for edge in edges)


def click_loop(bpm: float, beats: int) -> Tone:
    samples = np.zeros(round(beats * 60 / bpm * SAMPLE_RATE), np.float32)
    rng = np.random.default_rng(1)
    for beat in range(beats):
        start = round(beat * 60 / bpm * SAMPLE_RATE)
        samples[start : start + 480] = rng.uniform(-0.5, 0.5, 480)
    return replace(load_tones()["beep"], name=BEAT, samples=samples, level_db=-25.0, bpm=bpm)


@pytest.mark.parametrize(("own_bpm", "asked"), [(124.0, 120.0), (124.0, 150.0), (75.0, 150.0), (60.0, 126.0)])
def test_a_teachers_own_loop_falls_on_the_beats_of_the_moves(own_bpm: float, asked: float) -> None:
    made = bed(bpm=asked, length=12 * SECOND, own=click_loop(own_bpm, 8))
    heard = heard_onsets(made.samples)
    off = np.abs(heard * asked / 60 - np.round(heard * asked / 60)) * 60 / asked
    assert np.quantile(off, 0.99) <= 0.003
    # Clicks have no loudness to speak of: the ceiling holds them below it.
    assert integrated_lufs(made.samples) <= -24.9
    assert true_peak_db(made.samples) <= BEAT_CEILING_DBTP + 0.1

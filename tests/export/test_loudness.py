from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.export.loudness import PROGRAMME_LUFS, levelled, measure
from caller.sound.levels import CEILING_DBTP, SAMPLE_RATE
from caller.sound.loudness import integrated_lufs, true_peak_db

TIME_S = np.arange(20 * SAMPLE_RATE) / SAMPLE_RATE
PULSED = (np.sin(2 * np.pi * 440 * TIME_S) * (np.sin(np.pi * TIME_S) > 0)).astype(np.float32)


def in_blocks(samples: NDArray[np.float32], length: int) -> list[NDArray[np.float32]]:
    return [samples[start : start + length] for start in range(0, samples.size, length)]


@pytest.mark.parametrize("length", [480, 12_345, 48_000])
def test_blocks_measure_like_the_whole(length: int) -> None:
    sound = 0.1 * PULSED
    measured = measure(in_blocks(sound, length))
    assert measured.lufs == pytest.approx(integrated_lufs(sound), abs=0.01)
    assert measured.peak_dbtp == pytest.approx(true_peak_db(sound), abs=0.05)


@pytest.mark.parametrize("level", [0.01, 0.1, 0.5])
def test_the_whole_comes_to_the_programmes_loudness(level: float) -> None:
    blocks = in_blocks(np.float32(level) * PULSED, 48_000)
    assert measure(levelled(blocks, measure(blocks))).lufs == pytest.approx(PROGRAMME_LUFS, abs=0.05)


@pytest.mark.parametrize("length", [700, 48_000])
def test_peaks_are_held_under_the_ceiling_without_a_seam(length: int) -> None:
    spiky = 0.05 * PULSED
    spiky[::4_801] += np.float32(0.9)
    blocks = in_blocks(spiky, length)
    held = np.concatenate(list(levelled(blocks, measure(blocks), margin_db=0.5)))
    assert held.size == spiky.size
    assert true_peak_db(held) <= CEILING_DBTP - 0.5 + 0.1
    whole = np.concatenate(list(levelled([spiky], measure([spiky]), margin_db=0.5)))
    assert np.abs(held - whole).max() < 0.01


def test_silence_stays_silence() -> None:
    blocks = in_blocks(np.zeros(96_000, np.float32), 48_000)
    assert not np.concatenate(list(levelled(blocks, measure(blocks)))).any()

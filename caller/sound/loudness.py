"""How loud samples are (ITU-R BS.1770), and bringing them to a level."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.sound.levels import SAMPLE_RATE, to_gain
from caller.sound.meter import SILENT_DB, LoudnessMeter, PeakMeter, peak_envelope

SHORTEST_INTEGRATED_S: Final = 0.4
"""Integrated loudness is made of blocks of this length (BS.1770): below it, it is undefined."""

EAR_WINDOW_S: Final = 0.2
"""The ear sums up sound over about this long (temporal integration; from memory)."""

_LOOKAHEAD_S: Final = 0.004
_MATCHING_ROUNDS: Final = 3
_MATCHED_WITHIN_DB: Final = 0.1


def integrated_lufs(samples: NDArray[np.float32]) -> float:
    """Return the integrated loudness in LUFS, gated as in ITU-R BS.1770-5.

    Parameters
    ----------
    samples : ndarray of float32, shape (n,) or (n, channels)
        Mono or left and right.  Up to five channels are taken as L, R, C, Ls, Rs.

    Returns
    -------
    float
        LUFS; `SILENT_DB` where nothing passes the gate.
    """
    meter = LoudnessMeter(1 if samples.ndim == 1 else samples.shape[1])
    meter.add(samples)
    return meter.lufs()


def loudest_rms_db(samples: NDArray[np.float32], *, window_s: float = EAR_WINDOW_S) -> float:
    """Return the highest RMS level of any window, in dB of full scale (a full-scale sine reads -3.01).

    For sounds too short for `integrated_lufs`.  Both read the same for a tone of 997 Hz: K-weighting is
    made so.
    """
    if not samples.size:
        return SILENT_DB
    width = min(samples.size, max(1, round(window_s * SAMPLE_RATE)))
    energy = np.concatenate(([0.0], np.cumsum(samples.astype(np.float64) ** 2)))
    loudest = float(np.max(energy[width:] - energy[:-width])) / width
    return max(10.0 * float(np.log10(loudest)), SILENT_DB) if loudest > 0 else SILENT_DB


def octave_levels_db(samples: NDArray[np.float32], *, window_s: float = EAR_WINDOW_S) -> NDArray[np.float64]:
    """Return the levels of the octaves from 125 Hz to 8 kHz in the loudest window, as `loudest_rms_db`."""
    width = min(samples.size, max(1, round(window_s * SAMPLE_RATE)))
    energy = np.concatenate(([0.0], np.cumsum(samples.astype(np.float64) ** 2)))
    start = int(np.argmax(energy[width:] - energy[:-width]))
    power = 2.0 * np.abs(np.fft.rfft(samples[start : start + width].astype(np.float64))) ** 2 / width**2
    hertz = np.fft.rfftfreq(width, 1.0 / SAMPLE_RATE)
    edges = 125.0 * 2.0 ** (np.arange(8) - 0.5)
    bands = [power[(hertz >= low) & (hertz < high)].sum() for low, high in pairwise(edges)]
    return np.asarray(np.maximum(10.0 * np.log10(np.array(bands) + 1e-30), SILENT_DB))


def clip_loudness_db(samples: NDArray[np.float32]) -> float:
    """Return the loudness of one clip: integrated, or RMS where it is too short for that (or too quiet)."""
    if samples.size >= SHORTEST_INTEGRATED_S * SAMPLE_RATE:
        lufs = integrated_lufs(samples)
        if lufs > SILENT_DB:
            return lufs
    return loudest_rms_db(samples)


def true_peak_db(samples: NDArray[np.float32]) -> float:
    """Return the true peak in dBTP (BS.1770 annex 2) of mono samples, shape (n,)."""
    meter = PeakMeter()
    meter.add(samples)
    return meter.dbtp()


def match_loudness(
    samples: NDArray[np.float32], *, target_db: float, ceiling_dbtp: float
) -> NDArray[np.float32]:
    """Return mono `samples` at `target_db` (see `clip_loudness_db`), true peak at most `ceiling_dbtp`.

    Silence stays as it is.  A clip whose peaks are too sharp to be that loud is left as loud as a few
    rounds of limiting bring it.
    """
    level_db = clip_loudness_db(samples)
    if level_db <= SILENT_DB:
        return samples
    gain = to_gain(target_db - level_db)
    ceiling = to_gain(ceiling_dbtp)
    peaks = peak_envelope(samples)
    matched = samples
    for _ in range(_MATCHING_ROUNDS):
        matched = _limited(samples, peaks, gain, ceiling)
        if gain * peaks.max() <= ceiling:
            break
        # Limiting takes a little loudness away: ask for that much more.
        short_db = target_db - clip_loudness_db(matched)
        if short_db < _MATCHED_WITHIN_DB:
            break
        gain *= to_gain(short_db)
    return _trimmed_to(matched, ceiling_dbtp)


def limit_true_peak(samples: NDArray[np.float32], *, ceiling_dbtp: float) -> NDArray[np.float32]:
    """Return mono `samples` turned down just where their true peak would pass `ceiling_dbtp`.

    A limiter with look-ahead over the whole clip: the gain falls and rises over a few milliseconds around
    each peak, so the loudness stays (turning the whole clip down would undo the matching).
    """
    return _trimmed_to(_limited(samples, peak_envelope(samples), 1.0, to_gain(ceiling_dbtp)), ceiling_dbtp)


def _limited(
    samples: NDArray[np.float32], peaks: NDArray[np.float32], gain: float, ceiling: float
) -> NDArray[np.float32]:
    """Return `samples` times `gain`, times the slow curve that keeps `peaks` times `gain` under `ceiling`."""
    if not samples.size or gain * float(peaks.max()) <= ceiling:
        return (samples * np.float32(gain)).astype(np.float32)
    box = round(_LOOKAHEAD_S * SAMPLE_RATE) // 2 * 2 + 1
    reach = box - 1
    wanted = np.minimum(1.0, ceiling / np.maximum(peaks.astype(np.float64) * gain, 1e-12))
    # Two boxes make a triangle as wide as the minimum: each gain is an average of lows that all reach its
    # sample, so it is never above what that sample wants.
    lowest = _lowest_within(np.pad(wanted, 2 * reach, constant_values=1.0), 2 * reach + 1)
    curve = _mean_within(_mean_within(lowest, box), box)
    return (samples * (gain * curve)).astype(np.float32)


def _lowest_within(values: NDArray[np.float64], width: int) -> NDArray[np.float64]:
    """Return the least of each `width` neighbours, shape (n,) to (n - width + 1,)."""
    span = 1
    while 2 * span <= width:
        values = np.minimum(values[:-span], values[span:])
        span *= 2
    left = width - span
    return np.minimum(values[: values.size - left], values[left:])


def _mean_within(values: NDArray[np.float64], width: int) -> NDArray[np.float64]:
    """Return the mean of each `width` neighbours, shape (n,) to (n - width + 1,)."""
    sums = np.concatenate(([0.0], np.cumsum(values)))
    return np.asarray((sums[width:] - sums[:-width]) / width)


def _trimmed_to(samples: NDArray[np.float32], ceiling_dbtp: float) -> NDArray[np.float32]:
    """Take off the last hundredths of a decibel that a changing gain puts between two samples."""
    over_db = true_peak_db(samples) - ceiling_dbtp
    return samples if over_db <= 0 else (samples * np.float32(to_gain(-over_db - 0.001))).astype(np.float32)

"""How loud samples are (ITU-R BS.1770, by libebur128), and bringing them to a level."""

from __future__ import annotations

from typing import Final

import numpy as np
import pyebur128
from numpy.typing import NDArray

from caller.sound.levels import SAMPLE_RATE, to_gain

SHORTEST_INTEGRATED_S: Final = 0.4
"""Integrated loudness is made of blocks of this length (BS.1770): below it, it is undefined."""

EAR_WINDOW_S: Final = 0.2
"""The ear sums up sound over about this long (temporal integration; from memory)."""

SILENT_DB: Final = -120.0
"""What silence reads as, instead of minus infinity."""

_LOOKAHEAD_S: Final = 0.004
_OVERSAMPLED: Final = 4
_MATCHING_ROUNDS: Final = 3
_MATCHED_WITHIN_DB: Final = 0.1


def integrated_lufs(samples: NDArray[np.float32], *, sample_rate: int = SAMPLE_RATE) -> float:
    """Return the integrated loudness in LUFS.

    Parameters
    ----------
    samples : ndarray of float32, shape (n,) or (n, channels)
        Mono or left and right.  Up to five channels are taken as L, R, C, Ls, Rs.

    Returns
    -------
    float
        LUFS, gated as in ITU-R BS.1770-4; `SILENT_DB` where nothing passes the gate.
    """
    channels = 1 if samples.ndim == 1 else samples.shape[1]
    meter = pyebur128.R128State(channels, sample_rate, pyebur128.MeasurementMode.MODE_I)
    kinds = pyebur128.ChannelType
    surround = (kinds.LEFT, kinds.RIGHT, kinds.CENTER, kinds.LEFT_SURROUND, kinds.RIGHT_SURROUND)
    for channel in range(channels):
        meter.set_channel(channel, surround[channel])
    if samples.size:
        meter.add_frames(_interleaved(samples), samples.shape[0])
    return max(float(pyebur128.get_loudness_global(meter)), SILENT_DB)


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


def clip_loudness_db(samples: NDArray[np.float32]) -> float:
    """Return the loudness of one clip: integrated, or RMS where it is too short for that (or too quiet)."""
    if samples.size >= SHORTEST_INTEGRATED_S * SAMPLE_RATE:
        lufs = integrated_lufs(samples)
        if lufs > SILENT_DB:
            return lufs
    return loudest_rms_db(samples)


def true_peak_db(samples: NDArray[np.float32], *, sample_rate: int = SAMPLE_RATE) -> float:
    """Return the true peak in dBTP (BS.1770 annex 2: oversampled four times) of mono samples, shape (n,)."""
    meter = pyebur128.R128State(1, sample_rate, pyebur128.MeasurementMode.MODE_TRUE_PEAK)
    # The interpolating filter delays: silence after the last sample lets its peaks come out as well.
    padded = np.concatenate((samples, np.zeros(64, np.float32)))
    meter.add_frames(_interleaved(padded), padded.size)
    peak = float(pyebur128.get_true_peak(meter, 0))
    return 20.0 * float(np.log10(peak)) if peak > 0 else SILENT_DB


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
    peaks = _peak_envelope(samples)
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
    return _trimmed_to(_limited(samples, _peak_envelope(samples), 1.0, to_gain(ceiling_dbtp)), ceiling_dbtp)


def _peak_envelope(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return, for each sample, the highest magnitude of the oversampled waveform around it."""
    # Loaded here because it costs most of a second, and finished clips do not need it.
    from scipy.signal import resample_poly  # noqa: PLC0415

    fine = np.abs(resample_poly(samples, _OVERSAMPLED, 1)).reshape(-1, _OVERSAMPLED)
    peaks = np.asarray(fine.max(axis=1), np.float32)
    # The points between two samples belong to both.
    peaks[1:] = np.maximum(peaks[1:], peaks[:-1].copy())
    return peaks


def _limited(
    samples: NDArray[np.float32], peaks: NDArray[np.float32], gain: float, ceiling: float
) -> NDArray[np.float32]:
    """Return `samples` times `gain`, times the slow curve that keeps `peaks` times `gain` under `ceiling`."""
    if not samples.size or gain * float(peaks.max()) <= ceiling:
        return (samples * np.float32(gain)).astype(np.float32)
    from scipy.ndimage import minimum_filter1d, uniform_filter1d  # noqa: PLC0415 - as above

    box = round(_LOOKAHEAD_S * SAMPLE_RATE) // 2 * 2 + 1
    reach = box - 1
    wanted = np.minimum(1.0, ceiling / np.maximum(peaks.astype(np.float64) * gain, 1e-12))
    lowest = minimum_filter1d(np.pad(wanted, 2 * reach, constant_values=1.0), 2 * reach + 1, mode="nearest")
    # Two boxes make a triangle as wide as the minimum: each gain is an average of lows that all reach its
    # sample, so it is never above what that sample wants.
    curve = uniform_filter1d(uniform_filter1d(lowest, box, mode="nearest"), box, mode="nearest")
    return (samples * (gain * curve[2 * reach : 2 * reach + samples.size])).astype(np.float32)


def _trimmed_to(samples: NDArray[np.float32], ceiling_dbtp: float) -> NDArray[np.float32]:
    """Take off the last hundredths of a decibel by which two ways of oversampling differ."""
    over_db = true_peak_db(samples) - ceiling_dbtp
    return samples if over_db <= 0 else (samples * np.float32(to_gain(-over_db - 0.001))).astype(np.float32)


def _interleaved(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.ascontiguousarray(samples, np.float32).ravel()

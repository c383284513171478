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
    """Return the highest RMS level of any window, in dB relative to full scale (a full-scale sine reads -3.01).

    For sounds too short for `integrated_lufs`.  Both read the same for a tone of 997 Hz: K-weighting is made so.
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
    """Return `samples` at `target_db`, peaks held under `ceiling_dbtp`; silence stays as it is."""
    level = clip_loudness_db(samples)
    if level <= SILENT_DB:
        return samples
    matched = (samples * np.float32(to_gain(target_db - level))).astype(np.float32)
    return limit_true_peak(matched, ceiling_dbtp=ceiling_dbtp)


def limit_true_peak(samples: NDArray[np.float32], *, ceiling_dbtp: float) -> NDArray[np.float32]:
    """Return `samples` turned down just where their true peak would pass `ceiling_dbtp`.

    A limiter with look-ahead over the whole clip: the gain falls and rises over a few milliseconds around each peak, so
    the loudness stays (turning the whole clip down would undo the matching).
    """
    if true_peak_db(samples) <= ceiling_dbtp:
        return samples
    # Loaded here because it costs a quarter of a second, and finished clips do not need it.
    from scipy.ndimage import minimum_filter1d  # noqa: PLC0415

    ceiling = to_gain(ceiling_dbtp)
    reach = round(_LOOKAHEAD_S * SAMPLE_RATE)
    wanted = np.minimum(1.0, 0.98 * ceiling / np.maximum(_peak_envelope(samples), 1e-12))
    lowest = minimum_filter1d(np.pad(wanted, reach, constant_values=1.0), 2 * reach + 1, mode="nearest")
    window = np.hanning(2 * reach + 3)[1:-1]
    # Each gain is an average of lows that all reach its sample, so it is never above what that sample wants.
    gain = np.convolve(lowest, window / window.sum(), mode="valid")
    limited = (samples * gain).astype(np.float32)
    over_db = true_peak_db(limited) - ceiling_dbtp
    return limited if over_db <= 0 else (limited * np.float32(to_gain(-over_db - 0.01))).astype(np.float32)


def _peak_envelope(samples: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return, for each sample, the highest magnitude of the oversampled waveform around it."""
    factor, margin = 4, 64
    padded = np.pad(samples.astype(np.float64), margin)
    spectrum = np.fft.rfft(padded)
    fine = np.abs(np.fft.irfft(spectrum, padded.size * factor) * factor).reshape(-1, factor)
    peaks = fine.max(axis=1)
    # The points between two samples belong to both.
    peaks[1:] = np.maximum(peaks[1:], fine[:-1].max(axis=1))
    return peaks[margin : margin + samples.size]


def _interleaved(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.ascontiguousarray(samples, np.float32).ravel()

"""How loud samples are, in blocks or whole (ITU-R BS.1770-5), and bringing them to a level.

The weighting filters are applied as products of spectra: each rings for less than the zeros behind a block,
so that is the recursive filter itself, and numpy alone is needed.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.sound import SAMPLE_RATE, to_gain

SILENT_DB: Final = -120.0
"""What silence reads as, instead of minus infinity."""

_STEP = SAMPLE_RATE // 10  # blocks of 400 ms begin every 100 ms
_STEPS_A_BLOCK = 4
_HOP = 12 * _STEP
_SPECTRUM = 65_536
_TAIL = _SPECTRUM - _HOP  # 165 ms: the filters' ringing, falling as exp(-240 t/s), has passed -300 dB

# Annex 1, tables 1 and 2, for 48 kHz: a shelf for the head, and a high-pass.
_STAGES = (
    ((1.53512485958697, -2.69169618940638, 1.19839281085285), (1.0, -1.69065929318241, 0.73248077421585)),
    ((1.0, -2.0, 1.0), (1.0, -1.99004745483398, 0.99007225036621)),
)
_CHANNEL_WEIGHTS = np.array([1.0, 1.0, 1.0, 1.41, 1.41])  # left, right, centre, left and right surround
_OFFSET_DB = -0.691  # annex 1: a 997 Hz sine of full scale in one front channel reads -3.01
_QUIETEST_LUFS = -70.0
_BELOW_MEAN = 10.0 ** (-10.0 / 10.0)

_FINE = 4
_REACH = 6  # samples on either side of a point between two samples
_KERNEL = np.sinc(np.arange(-_REACH * _FINE, _REACH * _FINE + 1) / _FINE) * np.hanning(2 * _REACH * _FINE + 1)
_TAPS = tuple(_KERNEL[point::_FINE].astype(np.float32) for point in range(1, _FINE))  # 12 each
_MOST_BETWEEN = 1.0001 * max(float(np.abs(taps).sum()) for taps in _TAPS)
_PIECE = 4_096  # samples: the points between them are worked out only in pieces where they may matter
_PIECE_AROUND = _PIECE + 2 * _REACH - 1


class LoudnessMeter:
    """Integrated loudness of sound that comes in blocks, gated as annex 1 says.

    Parameters
    ----------
    channels : int
        One to five: left, right, centre, left surround, right surround.
    """

    def __init__(self, channels: int = 1) -> None:
        self._waiting: NDArray[np.float64] = np.zeros((0, channels))
        self._ringing: NDArray[np.float64] = np.zeros((_TAIL, channels))
        self._energies: list[NDArray[np.float64]] = []

    def add(self, samples: NDArray[np.float32]) -> None:
        """Take a block at `SAMPLE_RATE`, shape (n,) or (n, channels), of any length."""
        added = samples.reshape(-1, self._waiting.shape[1]).astype(np.float64)
        held: NDArray[np.float64] = np.concatenate((self._waiting, added))
        while held.shape[0] >= _HOP:
            weighted = self._weighted(held[:_HOP])
            self._ringing = weighted[_HOP:]
            self._energies.append(_step_energies(weighted[:_HOP]))
            held = held[_HOP:]
        self._waiting = held

    def lufs(self) -> float:
        """Return the loudness in LUFS of all that was added; `SILENT_DB` where nothing passes the gates."""
        rest = self._weighted(self._waiting)[: self._waiting.shape[0]]
        steps = np.concatenate((*self._energies, _step_energies(rest)))
        if steps.size < _STEPS_A_BLOCK:
            return SILENT_DB
        blocks = np.convolve(steps, np.full(_STEPS_A_BLOCK, 1.0 / _STEPS_A_BLOCK), mode="valid")
        blocks = blocks[blocks > 10.0 ** ((_QUIETEST_LUFS - _OFFSET_DB) / 10.0)]
        if not blocks.size:
            return SILENT_DB
        blocks = blocks[blocks > _BELOW_MEAN * blocks.mean()]
        return _OFFSET_DB + 10.0 * float(np.log10(blocks.mean()))

    def _weighted(self, samples: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return up to `_HOP` samples through the filters, and what rings on behind them."""
        spectrum = np.fft.rfft(samples, _SPECTRUM, axis=0) * _response()[:, np.newaxis]
        weighted = np.fft.irfft(spectrum, _SPECTRUM, axis=0)
        weighted[:_TAIL] += self._ringing
        return weighted


class PeakMeter:
    """True peak of mono sound that comes in blocks: oversampled four times, as annex 2 says."""

    def __init__(self) -> None:
        self._before = np.zeros(2 * _REACH - 1, np.float32)
        self._highest = 0.0

    def add(self, samples: NDArray[np.float32]) -> None:
        """Take a block at `SAMPLE_RATE`, shape (n,), of any length."""
        self._highest = max(self._highest, float(np.abs(samples).max(initial=0.0)))
        joined = np.concatenate((self._before, samples))
        self._before = joined[1 - 2 * _REACH :]
        pieces = [(most_between(piece), at) for at, piece in _pieces(joined)]
        for most, at in sorted(pieces, reverse=True):
            if most <= self._highest:
                break
            self._highest = max(self._highest, float(_between(joined[at : at + _PIECE_AROUND]).max()))

    def dbtp(self) -> float:
        """Return the highest peak so far in dBTP, as if silence followed; `SILENT_DB` for silence."""
        ending = np.concatenate((self._before, np.zeros(2 * _REACH - 1, np.float32)))
        highest = max(self._highest, float(_between(ending).max()))
        return 20.0 * float(np.log10(highest)) if highest > 0 else SILENT_DB


def most_between(samples: NDArray[np.float32]) -> float:
    """Return what no true peak of mono sound is above, from its samples alone."""
    return _MOST_BETWEEN * float(np.abs(samples).max(initial=0.0))


def _pieces(samples: NDArray[np.float32]) -> Iterator[tuple[int, NDArray[np.float32]]]:
    """Yield samples in pieces of which every point between two samples is known in just one."""
    for at in range(0, samples.size - 2 * _REACH + 1, _PIECE):
        yield at, samples[at : at + _PIECE_AROUND]


def peak_envelope(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return, for each sample of mono sound, the highest magnitude of the oversampled waveform around it."""
    peaks = np.abs(samples)
    if not samples.size:
        return peaks
    after = _between(np.pad(samples, (_REACH - 1, _REACH)))
    # The points between two samples belong to both.
    np.maximum(peaks, after, out=peaks)
    np.maximum(peaks[1:], after[:-1], out=peaks[1:])
    return peaks


def _between(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the highest of the three points between two samples, wherever `_REACH` are known either side."""
    count = samples.size - 2 * _REACH + 1
    highest = np.zeros(count, np.float32)
    for taps in _TAPS:
        # Shifted sums in place of np.convolve: seven times faster for so few taps.
        point = np.zeros(count, np.float32)
        for shift, tap in enumerate(taps):
            point += tap * samples[shift : shift + count]
        np.maximum(highest, np.abs(point, out=point), out=highest)
    return highest


def _step_energies(weighted: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the weighted mean square over channels of each whole step of 100 ms."""
    count, channels = weighted.shape[0] // _STEP, weighted.shape[1]
    steps = weighted[: count * _STEP].reshape(count, _STEP, channels)
    return np.asarray(np.square(steps).mean(axis=1) @ _CHANNEL_WEIGHTS[:channels])


@cache
def _response() -> NDArray[np.complex128]:
    """Return the gain of both stages at each frequency of the spectrum."""
    delay = np.exp(-2j * np.pi * np.arange(_SPECTRUM // 2 + 1) / _SPECTRUM)
    gain = np.ones_like(delay)
    for above, below in _STAGES:
        gain *= np.polyval(above[::-1], delay) / np.polyval(below[::-1], delay)
    return np.asarray(gain)


SHORTEST_INTEGRATED_S: Final = 0.4
"""Integrated loudness is made of blocks of this length (BS.1770): below it, it is undefined."""

EAR_WINDOW_S: Final = 0.2
"""The ear sums up sound over about this long (temporal integration; from memory)."""

_LOOKAHEAD_S: Final = 0.004
_BOX: Final = round(_LOOKAHEAD_S * SAMPLE_RATE) // 2 * 2 + 1
_LIMITER_REACH: Final = 2 * _BOX + 2 * _REACH  # samples before and behind a peak that a limiter turns down
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
    for start in range(0, len(samples), _HOP):
        meter.add(samples[start : start + _HOP])
    return meter.lufs()


def loudest_rms_db(samples: NDArray[np.float32], *, window_s: float = EAR_WINDOW_S) -> float:
    """Return the highest RMS level of any window, in dB of full scale (a full-scale sine reads -3.01).

    For sounds too short for `integrated_lufs`.  Both read the same for a tone of 997 Hz: K-weighting is
    made so.
    """
    if not samples.size:
        return SILENT_DB
    width = min(samples.size, max(1, round(window_s * SAMPLE_RATE)))
    loudest = 0.0
    for start in range(0, samples.size - width + 1, _HOP):  # in parts: a whole beat's sums take 80 MB
        part = samples[start : start + _HOP + width - 1].astype(np.float64)
        energy = np.concatenate(([0.0], np.cumsum(part**2)))
        loudest = max(loudest, float(np.max(energy[width:] - energy[:-width])) / width)
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
    """Return the true peak in dBTP (BS.1770 annex 2) of samples, shape (n,) or (n, channels): the highest."""
    highest = SILENT_DB
    for channel in _channels(samples):
        meter = PeakMeter()
        meter.add(channel)
        highest = max(highest, meter.dbtp())
    return highest


def _channels(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return samples of shape (n,) or (n, channels) channel by channel, shape (channels, n)."""
    return samples[np.newaxis] if samples.ndim == 1 else samples.T


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
    """Return `samples` turned down just where their true peak would pass `ceiling_dbtp`.

    A limiter with look-ahead over the whole clip: the gain falls and rises over a few milliseconds around
    each peak, so the loudness stays (turning the whole clip down would undo the matching).  Left and right,
    shape (n, 2), are turned down alike: a sound stays in its place.
    """
    ceiling = to_gain(ceiling_dbtp)
    limited = samples
    for start, stop in _loud(samples, ceiling):
        if limited is samples:
            limited = samples.copy()
        part = samples[start:stop]
        peaks = np.max([peak_envelope(channel) for channel in _channels(part)], axis=0)
        limited[start:stop] = _limited(part, peaks, 1.0, ceiling)
    return samples if limited is samples else _trimmed_to(limited, ceiling_dbtp)


def _loud(samples: NDArray[np.float32], ceiling: float) -> list[tuple[int, int]]:
    """Return the stretches outside which a limiter changes nothing, from sample to sample."""
    found: list[tuple[int, int]] = []
    silence = np.zeros((_REACH, *samples.shape[1:]), np.float32)
    for at, piece in _pieces(np.concatenate((silence, samples, silence))):
        if most_between(piece) > ceiling:
            start, stop = max(at - _LIMITER_REACH, 0), min(at + _PIECE + _LIMITER_REACH, len(samples))
            if found and start <= found[-1][1]:
                start = found.pop()[0]
            found.append((start, stop))
    return found


def _limited(
    samples: NDArray[np.float32], peaks: NDArray[np.float32], gain: float, ceiling: float
) -> NDArray[np.float32]:
    """Return `samples` times `gain`, times the slow curve that keeps `peaks` times `gain` under `ceiling`."""
    if not samples.size or gain * float(peaks.max()) <= ceiling:
        return (samples * np.float32(gain)).astype(np.float32)
    box, reach = _BOX, _BOX - 1
    wanted = np.minimum(1.0, ceiling / np.maximum(peaks.astype(np.float64) * gain, 1e-12))
    # Two boxes make a triangle as wide as the minimum: each gain is an average of lows that all reach its
    # sample, so it is never above what that sample wants.
    lowest = _lowest_within(np.pad(wanted, 2 * reach, constant_values=1.0), 2 * reach + 1)
    curve = _mean_within(_mean_within(lowest, box), box)
    return np.asarray((samples.T * (gain * curve)).T, np.float32)


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

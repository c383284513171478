"""A hall's impulse response: asked for by a sine sweep, and the reverberation in it (ISO 3382-1 and -2).

A sweep that rises by equal octaves in equal times puts the loudspeaker's distortion before the response,
where it can be cut off (A. Farina, 108th AES Convention, 2000).

Each octave band is integrated backwards (Schroeder 1965) up to the point where the decay meets the noise,
found as Lundeby, Vigran, Bietz and Vorländer did (Acustica 81, 1995). The noise is taken off and the
missing tail added.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caller.hall.bands import OCTAVES_HZ, FloatArray, octave_bands, spectrum_size

_FADE_IN_S, _FADE_OUT_S = 0.05, 0.005


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """A sweep and what is needed to undo it; `samples` has shape (n,), peak `amplitude`."""

    rate_hz: int
    low_hz: float
    high_hz: float
    amplitude: float
    samples: FloatArray

    @property
    def length_s(self) -> float:
        """How long the sweep sounds."""
        return self.samples.size / self.rate_hz


def exponential_sweep(
    *,
    rate_hz: int = 48_000,
    length_s: float = 8.0,
    low_hz: float = 60.0,
    high_hz: float = 16_000.0,
    amplitude: float = 0.25,
) -> Sweep:
    """Return a sweep from below the 125 Hz octave to above the 8 kHz octave.

    Raises
    ------
    ValueError
        If the sweep would not fit under half the sampling rate.
    """
    if not 0.0 < low_hz < high_hz < rate_hz / 2.0:
        raise ValueError(f"a sweep from {low_hz:g} to {high_hz:g} Hz does not fit {rate_hz} samples a second")
    time_s = np.arange(round(length_s * rate_hz)) / rate_hz
    octaves = np.log(high_hz / low_hz)
    phase = 2.0 * np.pi * low_hz * length_s / octaves * np.expm1(time_s * octaves / length_s)
    samples = amplitude * np.sin(phase)
    rise, fall = round(_FADE_IN_S * rate_hz), round(_FADE_OUT_S * rate_hz)
    samples[:rise] *= np.sin(np.linspace(0.0, np.pi / 2.0, rise)) ** 2
    samples[-fall:] *= np.cos(np.linspace(0.0, np.pi / 2.0, fall)) ** 2
    return Sweep(rate_hz=rate_hz, low_hz=low_hz, high_hz=high_hz, amplitude=amplitude, samples=samples)


def inverse_filter(sweep: Sweep) -> FloatArray:
    """Return the filter that turns the sweep into one click: it backwards, falling 6 dB an octave.

    Its gain is 1 over the speech octaves, so that a wire measures as 1 there.
    """
    time_s = np.arange(sweep.samples.size) / sweep.rate_hz
    fall = np.exp(-time_s * np.log(sweep.high_hz / sweep.low_hz) / sweep.length_s)
    backwards = sweep.samples[::-1] * fall
    click = np.abs(np.fft.rfft(_convolved(sweep.samples, backwards)))
    hz = np.linspace(0.0, sweep.rate_hz / 2.0, click.size)
    speech = (hz >= 2.0 * sweep.low_hz) & (hz <= sweep.high_hz / 2.0)
    return np.asarray(backwards / click[speech].mean())


def impulse_response(recording: FloatArray, sweep: Sweep, *, before: int = 0) -> FloatArray:
    """Return the impulse response in a recording of the sweep, from the recording's start.

    It is as long as the recording goes on after the sweep's length. Distortion of the loudspeaker lands
    before the direct sound and, for a sweep that starts the recording, before the first sample returned.

    Parameters
    ----------
    before
        How many samples before the recording's start to return too. No hall answers there; the second
        harmonic lies `sweep.length_s` / log2(high / low) seconds before what it is a harmonic of.

    Raises
    ------
    ValueError
        If the recording is shorter than the sweep.
    """
    recording = np.asarray(recording, float)
    if recording.size < sweep.samples.size:
        raise ValueError("the recording is shorter than the sweep")
    return _convolved(recording, inverse_filter(sweep))[sweep.samples.size - 1 - before : recording.size]


def _convolved(one: FloatArray, other: FloatArray) -> FloatArray:
    """Return the whole convolution, by spectra: both are many seconds long."""
    size = one.size + other.size - 1
    count = spectrum_size(size)
    return np.fft.irfft(np.fft.rfft(one, count) * np.fft.rfft(other, count), count)[:size]


# ISO 3382-2: the noise lies 10 dB below the lowest level that is used.
RANGE_FOR_T20_DB = 35.0
RANGE_FOR_T30_DB = 45.0

_ONSET_DB = -20.0  # ISO 3382-1: the response starts where it first comes within 20 dB of its peak.
_ABOVE_NOISE_DB = 7.0  # Lundeby: fits stop 5 to 10 dB above the noise.
_FIT_RANGE_DB = 20.0  # Lundeby: the late slope is taken over 10 to 20 dB.
_BLOCKS_PER_10_DB = (3.0, 10.0)  # Lundeby: averaging intervals for each 10 dB of decay, few for low bands.
_BLOCK_S = (0.05, 0.01)  # Lundeby: the first averaging interval, long for low bands.
_ROUNDS = 5
_TINY = 1e-30


@dataclass(frozen=True, slots=True, kw_only=True)
class BandDecay:
    """The decay of one octave band; a time is None where the noise leaves too little range for it."""

    frequency_hz: float
    range_db: float  # how far the decay curve falls before the noise takes over
    edt_s: float | None
    t20_s: float | None
    t30_s: float | None
    end: int  # the sample, from the onset, at which the decay meets the noise


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tail:
    """Where a decay meets the noise, how strong the noise is there, and how steep the decay is."""

    end: int
    noise: float
    slope_db_per_sample: float


def onset(response: FloatArray) -> int:
    """Return the sample at which the direct sound arrives."""
    energy = np.asarray(response, float) ** 2
    return int(np.argmax(energy >= energy.max() * 10.0 ** (_ONSET_DB / 10.0)))


def band_decays(response: FloatArray, rate_hz: int) -> tuple[BandDecay, ...]:
    """Return the decay in each of the seven octave bands of an impulse response, shape (n,)."""
    energy = octave_bands(np.asarray(response, float)[onset(response) :], rate_hz) ** 2
    return tuple(_band_decay(each, rate_hz, hz) for each, hz in zip(energy, OCTAVES_HZ, strict=True))


def decay_curve_db(energy: FloatArray, tail_end: int, noise: float, slope_db_per_sample: float) -> FloatArray:
    """Return the backward integral of a squared response up to `tail_end`, 0 dB at its start.

    The noise is subtracted, and the part of the exponential tail after `tail_end` is added.
    """
    missing = noise * 10.0 / (-slope_db_per_sample * np.log(10.0))
    kept = energy[:tail_end] - noise
    curve = np.cumsum(kept[::-1])[::-1] + missing
    whole = max(float(curve[0]), _TINY)  # where all is noise, less than nothing may be left without it
    return np.asarray(10.0 * np.log10(np.maximum(curve, _TINY * whole) / whole))


def _band_decay(energy: FloatArray, rate_hz: int, frequency_hz: float) -> BandDecay:
    tail = _meets_noise(energy, rate_hz, frequency_hz)
    if tail is None:
        return BandDecay(
            frequency_hz=frequency_hz, range_db=0.0, edt_s=None, t20_s=None, t30_s=None, end=energy.size
        )
    curve = decay_curve_db(energy, tail.end, tail.noise, tail.slope_db_per_sample)
    range_db = -float(curve[-1])
    return BandDecay(
        frequency_hz=frequency_hz,
        range_db=range_db,
        edt_s=_time_s(curve, rate_hz, 0.0, -10.0) if range_db >= 20.0 else None,
        t20_s=_time_s(curve, rate_hz, -5.0, -25.0) if range_db >= RANGE_FOR_T20_DB else None,
        t30_s=_time_s(curve, rate_hz, -5.0, -35.0) if range_db >= RANGE_FOR_T30_DB else None,
        end=tail.end,
    )


def _time_s(curve_db: FloatArray, rate_hz: int, top_db: float, bottom_db: float) -> float | None:
    """Return the time for 60 dB by a straight line through the curve between two levels."""
    below_top, below_bottom = curve_db <= top_db, curve_db <= bottom_db
    if not below_bottom.any():
        return None
    start, end = int(np.argmax(below_top)), int(np.argmax(below_bottom))
    if end - start < 8:
        return None
    slope = np.polyfit(np.arange(start, end) / rate_hz, curve_db[start:end], 1)[0]
    return float(-60.0 / slope) if slope < 0.0 else None


def _meets_noise(energy: FloatArray, rate_hz: int, frequency_hz: float) -> _Tail | None:
    """Return where the decay meets the noise, or None if there is no decay to be seen."""
    octave = float(np.log2(frequency_hz))
    ends = (float(np.log2(OCTAVES_HZ[0])), float(np.log2(OCTAVES_HZ[-1])))
    block = int(rate_hz * np.interp(octave, ends, _BLOCK_S))
    blocks_per_db = float(np.interp(octave, ends, _BLOCKS_PER_10_DB)) / 10.0
    noise = max(float(energy[int(0.9 * energy.size) :].mean()), _TINY * float(energy.max()))
    line = _late_line(energy, block, noise, top_db=None)
    if line is None:
        return None
    for _ in range(_ROUNDS):
        slope, start_db = line
        block = max(8, int(1.0 / -slope / blocks_per_db))
        crossing = (10.0 * np.log10(noise) - start_db) / slope
        # The noise is what is left well after the crossing, but never less than the last tenth.
        after = min(int(crossing - _ABOVE_NOISE_DB / slope), int(0.9 * energy.size))
        noise = max(float(energy[max(after, 0) :].mean()), _TINY * float(energy.max()))
        fitted = _late_line(energy, block, noise, top_db=_FIT_RANGE_DB)
        if fitted is None:
            break
        line = fitted
    slope, start_db = line
    crossing = (10.0 * np.log10(noise) - start_db) / slope
    end = int(np.clip(crossing, 1, energy.size))
    # Where the recording ends before the decay meets the noise, the tail goes on from there.
    level_at_end = 10.0 ** ((start_db + slope * end) / 10.0)
    return _Tail(end=end, noise=min(noise, level_at_end), slope_db_per_sample=slope)


def _late_line(
    energy: FloatArray, block: int, noise: float, *, top_db: float | None
) -> tuple[float, float] | None:
    """Return slope (dB per sample) and level at 0 of the decay just above the noise."""
    count = energy.size // block
    if count < 4:
        return None
    level_db = 10.0 * np.log10(
        np.maximum(energy[: count * block].reshape(count, block).mean(axis=1), _TINY * float(energy.max()))
    )
    peak, floor_db = int(level_db.argmax()), 10.0 * np.log10(noise)
    above = level_db[peak:] > floor_db + _ABOVE_NOISE_DB
    end = peak + (int(np.argmin(above)) if not above.all() else above.size)
    start = peak
    if top_db is not None:
        near = level_db[peak:end] <= floor_db + _ABOVE_NOISE_DB + top_db
        start = peak + (int(np.argmax(near)) if near.any() else 0)
    if end - start < 3:
        return None
    centres = (np.arange(start, end) + 0.5) * block
    slope, start_db = np.polyfit(centres, level_db[start:end], 1)
    return (float(slope), float(start_db)) if slope < 0.0 else None

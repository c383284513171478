"""Measure a hall with an exponential sine sweep, and turn the recording into its impulse response.

A sweep that rises by equal octaves in equal times puts the loudspeaker's distortion before the response,
where it can be cut off (A. Farina, 108th AES Convention, 2000).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caller.hall.bands import FloatArray

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
    spectrum_size = 1 << (size - 1).bit_length()
    product = np.fft.rfft(one, spectrum_size) * np.fft.rfft(other, spectrum_size)
    return np.fft.irfft(product, spectrum_size)[:size]

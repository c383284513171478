"""Split a signal into the seven octave bands."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from caller.hall.bands import OCTAVES_HZ, FloatArray

LOWEST_RATE_HZ = 24_000  # The 8 kHz octave ends at 11.3 kHz.
_ORDER = 6  # Steep skirts: a short band must not show the longer ring of its neighbour.
_HALF_OCTAVE = 2.0**0.5
_RINGING_S = 1.0  # The narrowest band's slowest ringing falls 400 dB in this time.


def octave_bands(signal: FloatArray, rate_hz: int) -> FloatArray:
    """Return the signal in the seven octave bands, shape (n,) in, (7, n) out.

    Raises
    ------
    ValueError
        If the signal is not one-dimensional and finite, or the rate is below 24 kHz.
    """
    signal = np.asarray(signal, float)
    if signal.ndim != 1 or not np.isfinite(signal).all():
        raise ValueError("octave bands need one channel of finite samples")
    if rate_hz < LOWEST_RATE_HZ:
        raise ValueError(f"octave bands up to 8 kHz need {LOWEST_RATE_HZ} samples a second, not {rate_hz}")
    size = 1 << (signal.size + round(_RINGING_S * rate_hz) - 1).bit_length()
    spectrum = np.fft.rfft(signal, size)
    bands = [
        np.fft.irfft(spectrum * _gains(centre, size, rate_hz), size)[: signal.size] for centre in OCTAVES_HZ
    ]
    return np.asarray(bands)


def _gains(centre_hz: float, size: int, rate_hz: int) -> NDArray[np.complex128]:
    """Return the gain of one band's Butterworth filter at each frequency of a spectrum.

    The bilinear transform puts the frequency f where tan(pi f / rate) was; there the band is a low-pass of
    (x² - low high) / (x (high - low)), and its poles lie evenly on the left half of the unit circle.
    """
    low, high = np.tan(np.pi * centre_hz / rate_hz * np.array([1.0 / _HALF_OCTAVE, _HALF_OCTAVE]))
    x = np.tan(np.pi * np.arange(1, size // 2) / size)
    low_pass = 1j * (x**2 - low * high) / (x * (high - low))
    poles = np.exp(1j * np.pi * (np.arange(_ORDER) + (_ORDER + 1) / 2.0) / _ORDER)
    gains = np.zeros(size // 2 + 1, np.complex128)  # nothing at 0 Hz and at half the rate
    gains[1:-1] = 1.0
    for pole in poles:
        gains[1:-1] /= low_pass - pole
    return gains

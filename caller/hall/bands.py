"""The seven octave bands that speech is judged in: how levels in them add up, and a signal split into
them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
Bands: TypeAlias = tuple[float, float, float, float, float, float, float]

OCTAVES_HZ: Bands = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)

# IEC 61672-1, nominal A-weighting at the octave centres (from memory).
A_WEIGHTING_DB: Bands = (-16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1)

# IEC 60268-16 ed. 5, male speech, re an A-weighted level of 0 dB.
SPEECH_SPECTRUM_DB: Bands = (-2.5, 0.5, 0.0, -6.0, -12.0, -18.0, -24.0)

# A working class of children, re an A-weighted level of 0 dB: energy peaks at 500-2000 Hz because young
# voices are high. Judgement; its shape is the worked noise of the acoustics notes (62 66 70 72 70 62 52
# dB).
CLASS_SPECTRUM_DB: Bands = (-13.6, -9.6, -5.6, -3.6, -5.6, -13.6, -23.6)

# A quiet room's ventilation and street, falling about 4 dB an octave, re an A-weighted level of 0 dB.
# Judgement: the shape of the noise rating curves.
ROOM_SPECTRUM_DB: Bands = (7.0, 2.0, -2.0, -7.0, -11.0, -15.0, -19.0)


def energy_sum_db(levels_db: Sequence[float] | FloatArray, *, axis: int = -1) -> FloatArray:
    """Add levels (dB) as energies along `axis`."""
    return np.asarray(10.0 * np.log10(np.sum(10.0 ** (np.asarray(levels_db, float) / 10.0), axis=axis)))


def a_weighted_dba(levels_db: Sequence[float] | FloatArray) -> FloatArray:
    """Return the A-weighted level of octave band levels, shape (..., 7) in, (...) out."""
    return energy_sum_db(np.asarray(levels_db, float) + np.asarray(A_WEIGHTING_DB))


def shaped_db(spectrum_db: Bands, level_dba: float) -> FloatArray:
    """Return the octave levels of a sound with this spectrum whose A-weighted level is `level_dba`."""
    shape = np.asarray(spectrum_db)
    return np.asarray(shape - a_weighted_dba(shape) + level_dba)


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
    size = spectrum_size(signal.size + round(_RINGING_S * rate_hz))
    spectrum = np.fft.rfft(signal, size)
    bands = [
        np.fft.irfft(spectrum * _gains(centre, size, rate_hz), size)[: signal.size] for centre in OCTAVES_HZ
    ]
    return np.asarray(bands)


def spectrum_size(least: int) -> int:
    """Return an even length, `least` or a little more, whose spectrum is quickly found.

    It has no factors but 2, 3 and 5: often a third shorter than the next power of two.
    """
    odd: list[int] = [3**threes * 5**fives for threes in range(6) for fives in range(4)]
    return min(each << max(-(-least // each) - 1, 1).bit_length() for each in odd)


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

"""Split a signal into the seven octave bands."""

from __future__ import annotations

import numpy as np

from caller.hall.bands import OCTAVES_HZ, FloatArray

LOWEST_RATE_HZ = 24_000  # The 8 kHz octave ends at 11.3 kHz.
_ORDER = 6  # Steep skirts: a short band must not show the longer ring of its neighbour.
_HALF_OCTAVE = 2.0**0.5


def octave_bands(signal: FloatArray, rate_hz: int) -> FloatArray:
    """Return the signal in the seven octave bands, shape (n,) in, (7, n) out.

    Raises
    ------
    ValueError
        If the signal is not one-dimensional and finite, or the rate is below 24 kHz.
    """
    from scipy.signal import butter, sosfilt  # noqa: PLC0415  (a second to load; only measuring needs it)

    signal = np.asarray(signal, float)
    if signal.ndim != 1 or not np.isfinite(signal).all():
        raise ValueError("octave bands need one channel of finite samples")
    if rate_hz < LOWEST_RATE_HZ:
        raise ValueError(f"octave bands up to 8 kHz need {LOWEST_RATE_HZ} samples a second, not {rate_hz}")
    bands = [
        sosfilt(
            butter(
                _ORDER, (centre / _HALF_OCTAVE, centre * _HALF_OCTAVE), "bandpass", fs=rate_hz, output="sos"
            ),
            signal,
        )
        for centre in OCTAVES_HZ
    ]
    return np.asarray(bands)

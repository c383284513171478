"""Bringing sound to the program's sample rate."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.sound.levels import SAMPLE_RATE

_KEPT: Final = 0.95
"""The share of the lower of the two bands that is left as it is; above, it fades out, so that an edge does
not ring on."""

_SILENCE_S: Final = 0.1
"""Put behind the samples: a product of spectra would let the end ring into the beginning."""


def to_sample_rate(samples: NDArray[np.float32], rate: int) -> NDArray[np.float32]:
    """Return mono `samples` of `rate` hertz, shape (n,), at `SAMPLE_RATE`.

    The whole clip's spectrum is cut or lengthened to the exact ratio (22,050 Hz to 48,000 Hz is 147 : 320),
    so no drift is added, whatever the rate.
    """
    if rate == SAMPLE_RATE or not samples.size:
        return samples
    ratio = Fraction(SAMPLE_RATE, rate)
    units = -(-(samples.size + round(_SILENCE_S * rate)) // ratio.denominator)
    before, after = units * ratio.denominator, units * ratio.numerator
    kept = min(before, after) // 2 + 1
    spectrum = np.fft.rfft(samples, before)[:kept] * _faded_edge(kept)
    resampled = np.fft.irfft(spectrum, after) * float(ratio)
    return resampled[: -(-samples.size * ratio.numerator // ratio.denominator)].astype(np.float32)


def _faded_edge(count: int) -> NDArray[np.float64]:
    """Return the gain at each of `count` frequencies: 1, and down to 0 over the last twentieth."""
    into_edge = (np.linspace(0.0, 1.0, count) - _KEPT) / (1.0 - _KEPT)
    return np.asarray(np.cos(0.5 * np.pi * into_edge.clip(0.0)) ** 2)

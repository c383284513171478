"""Bringing sound to the program's sample rate."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.sound.levels import SAMPLE_RATE

_LARGEST_TERM: Final = 20_000


def to_sample_rate(samples: NDArray[np.float32], rate: int) -> NDArray[np.float32]:
    """Return mono `samples` of `rate` hertz, shape (n,), at `SAMPLE_RATE`.

    Polyphase filtering by the exact ratio (22,050 Hz to 48,000 Hz is 320 : 147), so no drift is added.  An
    odd rate such as 191,999 Hz is taken for a near one, within 1 in 40,000: the exact ratio would need a
    filter of gigabytes.
    """
    if rate == SAMPLE_RATE or not samples.size:
        return samples
    # Loaded here because it costs most of a second, which a lesson with its clips ready need not pay.
    from scipy.signal import resample_poly  # noqa: PLC0415

    ratio = Fraction(SAMPLE_RATE, rate).limit_denominator(_LARGEST_TERM)
    return np.asarray(resample_poly(samples, ratio.numerator, ratio.denominator), np.float32)


def clarify(samples: NDArray[np.float32], *, cutoff_hz: float = 150.0) -> NDArray[np.float32]:
    """Return `samples` without their boom: a gentle high-pass, 12 dB an octave, for halls that ring low.

    Off unless asked for: a bare hall rings longest at 250 to 500 Hz and lows mask what follows, but no
    measurement of children in a hall shows how much this helps, and a small loudspeaker already does it.
    """
    from scipy.signal import butter, sosfilt  # noqa: PLC0415

    sections = butter(2, cutoff_hz, "highpass", fs=SAMPLE_RATE, output="sos")
    return np.asarray(sosfilt(sections, samples), np.float32)

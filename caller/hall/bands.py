"""The seven octave bands that speech is judged in, and how levels in them add up."""

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

"""The speech transmission index (STI): IEC 60268-16 ed. 5 (2020), annex A.

Speech carries its meaning in slow swings of its level. Echo fills the dips and noise covers them; STI is
how much of 14 speeds of swing survives in seven octave bands, from 0 (nothing) to 1 (everything).
"""

from __future__ import annotations

import numpy as np

from caller.hall.bands import FloatArray

# Third-octaves from 0.63 to 12.5 Hz.
MODULATIONS_HZ = (0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0, 12.5)

_ALPHA = np.array([0.085, 0.127, 0.230, 0.233, 0.309, 0.224, 0.173])
_BETA = np.array([0.085, 0.078, 0.065, 0.011, 0.047, 0.095])
_RECEPTION_THRESHOLD_DB = np.array([46.0, 27.0, 12.0, 6.5, 7.5, 8.0, 12.0])
_LIMIT_DB = 15.0
_DECAY_NEPERS = 13.8  # ln 10⁶: a reverberation time is a fall by a millionth

# Letters of IEC 60268-16 annex G (from memory) and words of its table (found), by the lowest STI of each.
LETTERS = (
    (0.76, "A+"),
    (0.72, "A"),
    (0.68, "B"),
    (0.64, "C"),
    (0.60, "D"),
    (0.56, "E"),
    (0.52, "F"),
    (0.48, "G"),
    (0.44, "H"),
    (0.40, "I"),
    (0.36, "J"),
)
WORDS = ((0.75, "excellent"), (0.60, "good"), (0.45, "fair"), (0.30, "poor"))

# ISO 9921:2003, as shown by its convenor (H. Steeneken): meaningful words understood by adults at the edges
# of the bands bad, poor, fair, good, excellent. Straight lines between the edges and the two ends are ours.
_WORDS_HEARD = ((0.0, 0.30, 0.45, 0.60, 0.75, 1.0), (0.0, 0.60, 0.80, 0.93, 0.98, 1.0))


def room_modulation(
    reverberation_s: FloatArray, *, direct_to_reverberant: FloatArray | None = None
) -> FloatArray:
    """Return what the room leaves of each modulation, shape (..., 7, 14).

    Parameters
    ----------
    reverberation_s
        Reverberation times in the seven bands.
    direct_to_reverberant
        Energy ratio at the listener, shape (..., 7); without it the listener is far from the speaker.
        Direct and reverberant field add as Houtgast and Steeneken have it.
    """
    swing = 2j * np.pi * np.asarray(MODULATIONS_HZ) * np.asarray(reverberation_s)[..., None] / _DECAY_NEPERS
    diffuse = 1.0 / (1.0 + swing)
    if direct_to_reverberant is None:
        return np.asarray(np.abs(diffuse))
    ratio = np.asarray(direct_to_reverberant)[..., None]
    return np.asarray(np.abs(ratio + diffuse) / (ratio + 1.0))


def energy_modulation(energy: FloatArray, rate_hz: int) -> FloatArray:
    """Return |∑ h² e^(-j2πFt)| / ∑ h² of squared responses, (7, n) in, (7, 14) out (Schroeder 1981)."""
    time_s = np.arange(energy.shape[1]) / rate_hz
    turns = np.exp(-2j * np.pi * np.outer(time_s, MODULATIONS_HZ))
    total = np.maximum(energy.sum(axis=1, keepdims=True), 1e-300)
    return np.asarray(np.abs(energy @ turns) / total)


def noise_factor(speech_db: FloatArray, noise_db: FloatArray) -> FloatArray:
    """Return what noise leaves of the modulation in each band: 1 / (1 + 10^(-SNR/10))."""
    return np.asarray(1.0 / (1.0 + 10.0 ** ((np.asarray(noise_db) - np.asarray(speech_db)) / 10.0)))


def masking_factor(speech_db: FloatArray, noise_db: FloatArray) -> FloatArray:
    """Return what the ear leaves of each band: the band below masks it, and so does its own threshold."""
    total = 10.0 ** (np.asarray(speech_db) / 10.0) + 10.0 ** (np.asarray(noise_db) / 10.0)
    below_db = 10.0 * np.log10(total[..., :-1])
    slope_db = np.select(
        [below_db < 63.0, below_db < 67.0, below_db < 100.0],
        [0.5 * below_db - 65.0, 1.8 * below_db - 146.9, 0.5 * below_db - 59.8],
        -10.0,
    )
    masking = np.zeros_like(total)
    masking[..., 1:] = total[..., :-1] * 10.0 ** (slope_db / 10.0)
    return np.asarray(total / (total + masking + 10.0 ** (_RECEPTION_THRESHOLD_DB / 10.0)))


def transmission_indices(modulation: FloatArray) -> FloatArray:
    """Return the modulation transfer index of each band, shape (..., 7, 14) in, (..., 7) out."""
    m = np.clip(modulation, 1e-12, 1.0 - 1e-12)
    ratio_db = np.clip(10.0 * np.log10(m / (1.0 - m)), -_LIMIT_DB, _LIMIT_DB)
    return np.asarray(((ratio_db + _LIMIT_DB) / (2.0 * _LIMIT_DB)).mean(axis=-1))


def index(modulation: FloatArray) -> FloatArray:
    """Return the STI of modulation factors, shape (..., 7, 14) in, (...) out; male weights."""
    bands = transmission_indices(modulation)
    overlap = np.sqrt(bands[..., :-1] * bands[..., 1:])
    return np.asarray(np.clip(bands @ _ALPHA - overlap @ _BETA, 0.0, 1.0))


def sti(
    room: FloatArray,
    *,
    speech_db: FloatArray | None = None,
    noise_db: FloatArray | None = None,
    masking: bool = False,
) -> FloatArray:
    """Return the STI of a room's modulation factors with speech and noise at these octave levels.

    Without levels there is no noise. `masking` needs true levels (dB re 20 µPa).
    """
    if speech_db is None or noise_db is None:
        return index(room)
    left = noise_factor(speech_db, noise_db)
    if masking:
        left = left * masking_factor(speech_db, noise_db)
    return index(room * left[..., None])


def letter(value: float) -> str:
    """Return the qualification letter of an STI, "A+" to "U"."""
    return next((name for least, name in LETTERS if value >= least), "U")


def word(value: float) -> str:
    """Return the plain word for an STI: bad, poor, fair, good or excellent."""
    return next((name for least, name in WORDS if value >= least), "bad")


def words_heard(value: float) -> float:
    """Return the share of meaningful words that adults understand at this STI; children understand fewer."""
    return float(np.interp(value, *_WORDS_HEARD))

"""How loud the speaker is at each place: its direct sound, and the hall's reverberant sound."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caller.hall.bands import SPEECH_SPECTRUM_DB, FloatArray, a_weighted_dba, shaped_db
from caller.hall.model import Hall, Speaker
from caller.hall.reverberation import total_absorption_m2

_NEAREST_M = 0.5  # Formulas of a point source mean nothing inside the box itself.


def level_db(power_db: float, distance_m: float, directivity: float, absorption: float) -> float:
    """Return Lp = Lw + 10 lg(Q / 4πr² + 4 / A): one band, on the axis (Beranek)."""
    return float(power_db + 10.0 * np.log10(directivity / (4.0 * np.pi * distance_m**2) + 4.0 / absorption))


def critical_distance_m(directivity: float | FloatArray, absorption: float | FloatArray) -> FloatArray:
    """Return where direct and reverberant sound are equally loud: Dc = √(Q A / 16π) (Kuttruff, ch. 5)."""
    return np.asarray(np.sqrt(np.asarray(directivity) * absorption / (16.0 * np.pi)))


def directivity_towards(speaker: Speaker, points_m: FloatArray) -> FloatArray:
    """Return the directivity factor of the speaker towards each point, shape (n, 3) in, (n, 7) out.

    The pattern Q ((1 + cos θ) / 2)^(Q - 1) is the simplest that has the given Q on the axis and radiates
    exactly the power of its source: its mean over the sphere is 1 for every Q.
    """
    axis = np.subtract(speaker.aim_m, speaker.at_m)
    axis = axis / np.linalg.norm(axis)
    rays = points_m - np.asarray(speaker.at_m)
    cosine = (rays @ axis) / np.maximum(np.linalg.norm(rays, axis=-1), 1e-9)
    q = np.asarray(speaker.directivity)
    facing = np.clip((1.0 + cosine[:, None]) / 2.0, 0.0, 1.0)
    return np.asarray(q * facing ** (q - 1.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeechField:
    """The speaker's speech at n points: octave band levels (dB), direct (n, 7) and reverberant (7)."""

    direct_db: FloatArray
    reverberant_db: FloatArray

    @property
    def total_db(self) -> FloatArray:
        """Direct and reverberant sound together, shape (n, 7)."""
        return np.asarray(10.0 * np.log10(10.0 ** (self.direct_db / 10) + 10.0 ** (self.reverberant_db / 10)))

    @property
    def level_dba(self) -> FloatArray:
        """The A-weighted level at each point, shape (n,)."""
        return a_weighted_dba(self.total_db)


def speech_field(hall: Hall, points_m: FloatArray) -> SpeechField:
    """Return the levels of the hall's speaker at `points_m`, shape (n, 3)."""
    speaker = hall.speaker
    at_1m = shaped_db(SPEECH_SPECTRUM_DB, speaker.level_at_1m_dba)
    power = at_1m - 10.0 * np.log10(np.asarray(speaker.directivity) / (4.0 * np.pi))
    distance = np.linalg.norm(points_m - np.asarray(speaker.at_m), axis=-1)
    spread = 4.0 * np.pi * np.maximum(distance, _NEAREST_M)[:, None] ** 2
    # The tiny floor keeps the dead zone straight behind a narrow speaker a number.
    direct = power + 10.0 * np.log10(np.maximum(directivity_towards(speaker, points_m), 1e-6) / spread)
    reverberant = power + 10.0 * np.log10(4.0 / total_absorption_m2(hall))
    return SpeechField(direct_db=direct, reverberant_db=reverberant)

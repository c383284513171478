"""From a level meter's readings to how much was clapped: three claps of a group, less what else sounded.

A reading is three numbers for a tenth of a second: the level, the level in the octaves where claps are
strong, and the highest sample. Sources that are not in step add as energies, so the energy of a group's
claps is about proportional to how many clap. Off it go the background of the room's quiet moments, and the
tail of whatever sounded before: a decay is a straight line in decibels, so the tail follows from the level
just before the first clap and from how fast this room falls.

Where claps are strong. Their spectra peak from under 1 kHz to over 2 kHz, by the shape of the hands, and
fall above 4 kHz (Repp 1987, J. Acoust. Soc. Am. 81:1100, from memory; Papadakis & Stavroulakis 2020,
Acoustics 2:224, abstract: cupped hands are stronger below). The 2 and 4 kHz octaves keep enough of all of
them and little of a voice. All limits here are our own, set on simulations (benchmarks/claps.py).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Final, NamedTuple

import numpy as np

from caller.hall.bands import FloatArray

CLAPS: Final = 3
"""Claps of a group, one on each beat."""

CLAP_S: Final = 0.5
"""From clap to clap: 120 a minute, where 5- to 6-year-olds step steadiest (Percept. Mot. Skills 2011,
113:331)."""

BLOCK_S: Final = 0.1
"""What one reading stands for."""

LATE_S: Final = 0.4
"""So long after the last clap's own time its sound still counts: late hands, and sound on its way to us."""

SILENCE_DB: Final = -120.0

_BAND_HZ: Final = (2000.0 / 2.0**0.5, 4000.0 * 2.0**0.5)  # the octaves at 2 and 4 kHz
_PER_CLAP: Final = round(CLAP_S / BLOCK_S)
_LATE: Final = round(LATE_S / BLOCK_S)
BEFORE: Final = 2
"""Readings before the first clap that tell what was still sounding."""

LEAD: Final = 1
"""Readings between those and the first beat: quick hands are early."""

STRETCH: Final = LEAD + CLAPS * _PER_CLAP + _LATE
"""Readings from shortly before a group's first beat to where its claps are over."""

_QUIET_PERCENTILE: Final = 20.0
_FALL_FITTED: Final = 4  # readings
_OVER_BACKGROUND: Final = 4.0  # a decay is read only from so much over the background, as energy
_FALL_DB: Final = (0.6, 12.0)  # in a tenth of a second: reverberation times of 10 and of 0.5 s
_USUAL_FALL_DB: Final = 4.0  # 1.5 s, a middling school hall
_CLIPPED_DB: Final = -0.3
_DOUBTED: Final = (0.25, 0.35)  # of the background, and of the tail, that may be more or less than reckoned
_COLOUR_DB: Final = 1.4
_VOICED_DB: Final = 6.5
_CLEAR: Final = 3.0  # claps must be so many times what is in doubt


class LevelReading(NamedTuple):
    """What a level meter tells of a tenth of a second, each in dB of full scale."""

    level_db: float
    claps_db: float
    peak_db: float


class NotCounted(Enum):
    """Why nothing is counted."""

    UNHEARD = "no whole class to compare with"
    MISSING = "readings are missing"
    CLIPPED = "too loud for the microphone"
    SHOUT = "voices"
    DROWNED = "too little over the noise"
    GAIN = "the microphone changes its own loudness"
    UNCLEAR = "too little can be told"


@dataclass(frozen=True, slots=True, kw_only=True)
class Clapped:
    """Three claps of a group, as energies; full scale squared is 1.

    Attributes
    ----------
    claps
        Of each clap, shape (3,); what is left after background and tail, at least 0.
    energy
        Of all of it.
    doubt
        How far that may be out by background and tail.
    colour_db
        By how much all that sounded was over the part of it in the claps' octaves.
    """

    claps: tuple[float, ...]
    energy: float
    doubt: float
    colour_db: float

    def __add__(self, other: Clapped) -> Clapped:
        """Return two groups as if they were one: of three lanes, the two that are wrong."""
        energy = self.energy + other.energy
        colours = [(each.energy, each.colour_db) for each in (self, other) if each.energy > 0.0]
        mixed = sum(part * 10.0 ** (colour / 10.0) for part, colour in colours)
        return Clapped(
            claps=tuple(one + more for one, more in zip(self.claps, other.claps, strict=True)),
            energy=energy,
            doubt=math.hypot(self.doubt, other.doubt),
            colour_db=10.0 * math.log10(mixed / energy) if mixed > 0.0 else 0.0,
        )


def reading_of(samples: FloatArray, rate_hz: int) -> LevelReading:
    """Return the reading of a block of samples, full scale 1, shape (n,)."""
    samples = np.asarray(samples, float).ravel()
    if not samples.size:
        return LevelReading(SILENCE_DB, SILENCE_DB, SILENCE_DB)
    spectrum = np.abs(np.fft.rfft(samples)) ** 2
    hertz = np.fft.rfftfreq(samples.size, 1.0 / rate_hz)
    inside = (hertz >= _BAND_HZ[0]) & (hertz < _BAND_HZ[1])
    claps = 2.0 * spectrum[inside].sum() / samples.size**2  # Parseval: both halves of the spectrum
    return LevelReading(
        _db(float(np.mean(samples**2))), _db(float(claps)), _db(float(np.abs(samples).max()) ** 2)
    )


def quiet_of(readings: Sequence[LevelReading]) -> LevelReading:
    """Return the room's background: what its quiet moments are like.

    Raises
    ------
    ValueError
        Without any reading.
    """
    if not readings:
        raise ValueError("a background needs readings")
    level, claps, peak = np.percentile(np.asarray(readings, float), _QUIET_PERCENTILE, axis=0)
    return LevelReading(float(level), float(claps), float(peak))


def fall_db(after: Sequence[LevelReading], background: LevelReading) -> float | None:
    """Return by how much this room falls in a tenth of a second, read from after the last clap.

    None where too little of the fall stands over the background.
    """
    floor = _energy(background.claps_db) * _OVER_BACKGROUND
    falling = [each.claps_db for each in after[: 2 * _FALL_FITTED] if _energy(each.claps_db) > floor]
    if len(falling) < _FALL_FITTED:
        return None
    slope = float(np.polyfit(np.arange(len(falling)), falling, 1)[0])
    return float(np.clip(-slope, *_FALL_DB))


def clapped(
    readings: Sequence[LevelReading], background: LevelReading, *, fall_db: float | None = None
) -> Clapped | NotCounted:
    """Return what one group has clapped, or why that cannot be told.

    Parameters
    ----------
    readings
        `BEFORE` readings, and the `STRETCH` readings after them, of which `LEAD` come before the first beat.
    background
        Of the room, from `quiet_of`.
    fall_db
        How much the room falls in a tenth of a second; a middling school hall's where nobody has measured it.
    """
    if len(readings) < BEFORE + STRETCH:
        return NotCounted.MISSING
    readings = readings[: BEFORE + STRETCH]
    if max(each.peak_db for each in readings[BEFORE:]) >= _CLIPPED_DB:
        return NotCounted.CLIPPED
    fall = _USUAL_FALL_DB if fall_db is None else fall_db
    claps, tail = _net([each.claps_db for each in readings], background.claps_db, fall)
    whole, _ = _net([each.level_db for each in readings], background.level_db, fall)
    energy = max(float(claps.sum()), 0.0)
    doubt = _DOUBTED[0] * _energy(background.claps_db) * claps.size + _DOUBTED[1] * tail
    clear = energy > _CLEAR * doubt
    colour = _db(max(float(whole.sum()), energy)) - _db(energy) if clear else 0.0
    return Clapped(claps=_singles(claps, fall), energy=energy, doubt=doubt, colour_db=colour)


def fault_of(heard: Clapped, whole: Clapped | None = None) -> NotCounted | None:
    """Return why claps are of no use, by what they sounded like; None where they are.

    Parameters
    ----------
    heard
        All groups of a round as one, or the whole class alone, which then has nothing to be compared with.
    whole
        The whole class, clapped at the lesson's start. The same hands have the same colour: where there is
        more below the claps' octaves than there was then, it is voices.
    """
    if heard.energy <= _CLEAR * heard.doubt:
        return NotCounted.DROWNED
    usual_db = whole.colour_db + _COLOUR_DB if whole is not None else _VOICED_DB
    return NotCounted.SHOUT if heard.colour_db > usual_db else None


def _net(levels_db: Sequence[float], background_db: float, fall: float) -> tuple[FloatArray, float]:
    """Return the energies from the first beat on, less background and tail, and all of the tail."""
    energies = np.array([_energy(each) for each in levels_db]) - _energy(background_db)
    still_sounding = max(float(energies[:BEFORE].mean()), 0.0)
    tail = still_sounding * 10.0 ** (-fall / 10.0 * np.arange(1, energies.size - BEFORE + 1))
    return energies[BEFORE:] - tail, float(tail.sum())


def _singles(claps: FloatArray, fall: float) -> tuple[float, ...]:
    """Return each clap's own energy: of every reading only what is new in it, the rest is the room's echo."""
    left = 10.0 ** (-fall / 10.0)
    new = (claps - left * np.concatenate([[0.0], claps[:-1]])) / (1.0 - left)
    # What comes late comes late by the same for all three: hands, and the sound on its way to us.
    starts = np.arange(CLAPS) * _PER_CLAP
    lag = max(range(LEAD + _LATE), key=lambda late: float(new[starts + late].sum()))
    around = [new[max(middle - _PER_CLAP // 2, 0) : middle + _PER_CLAP // 2 + 1] for middle in starts + lag]
    return tuple(max(float(part.sum()), 0.0) for part in around)


def _energy(level_db: float) -> float:
    return float(10.0 ** (level_db / 10.0))


def _db(energy: float) -> float:
    return max(10.0 * math.log10(energy), SILENCE_DB) if energy > 0.0 else SILENCE_DB

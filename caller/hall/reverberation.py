"""How long a hall rings: Sabine's and Eyring's formulas with the air's own absorption (ISO 9613-1:1993)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from caller.hall import Hall, children_absorb_m2, surface_absorption_m2
from caller.hall.bands import OCTAVES_HZ, FloatArray

_REFERENCE_K = 293.15
_TRIPLE_POINT_K = 273.16
_REFERENCE_KPA = 101.325


def absorption_db_per_m(
    frequency_hz: Sequence[float] | FloatArray,
    *,
    temperature_c: float = 20.0,
    humidity_percent: float = 50.0,
    pressure_kpa: float = _REFERENCE_KPA,
) -> FloatArray:
    """Return the attenuation of pure tones in air (dB/m), ISO 9613-1 equations 3 to 5 and annex B."""
    f = np.asarray(frequency_hz, float)
    kelvin = temperature_c + 273.15
    t = kelvin / _REFERENCE_K
    p = pressure_kpa / _REFERENCE_KPA
    saturation = 10.0 ** (-6.8346 * (_TRIPLE_POINT_K / kelvin) ** 1.261 + 4.6151)
    h = humidity_percent * saturation / p
    oxygen_hz = p * (24.0 + 4.04e4 * h * (0.02 + h) / (0.391 + h))
    nitrogen_hz = p * t**-0.5 * (9.0 + 280.0 * h * np.exp(-4.170 * (t ** (-1.0 / 3.0) - 1.0)))
    classical = 1.84e-11 / p * t**0.5
    oxygen = 0.01275 * np.exp(-2239.1 / kelvin) / (oxygen_hz + f**2 / oxygen_hz)
    nitrogen = 0.1068 * np.exp(-3352.0 / kelvin) / (nitrogen_hz + f**2 / nitrogen_hz)
    return np.asarray(8.686 * f**2 * (classical + t**-2.5 * (oxygen + nitrogen)))


def energy_attenuation_per_m(
    frequency_hz: Sequence[float] | FloatArray,
    *,
    temperature_c: float = 20.0,
    humidity_percent: float = 50.0,
) -> FloatArray:
    """Return m (1/m), the energy attenuation used by Sabine's and Eyring's formulas."""
    loss = absorption_db_per_m(frequency_hz, temperature_c=temperature_c, humidity_percent=humidity_percent)
    return np.asarray(loss / (10.0 * np.log10(np.e)))


SPEED_OF_SOUND_M_PER_S = 343.0
DECAY_CONSTANT_S_PER_M = 24.0 * np.log(10.0) / SPEED_OF_SOUND_M_PER_S  # 0.161 s/m


def sabine_s(
    volume_m3: float, absorption_m2: FloatArray | float, air_per_m: FloatArray | float = 0.0
) -> FloatArray:
    """Return the reverberation time T = 0.161 V / (A + 4 m V) (Sabine 1900; ISO 3382-2)."""
    return np.asarray(DECAY_CONSTANT_S_PER_M * volume_m3 / (absorption_m2 + 4.0 * air_per_m * volume_m3))


def eyring_s(
    volume_m3: float,
    surface_m2: float,
    absorption_m2: FloatArray | float,
    air_per_m: FloatArray | float = 0.0,
) -> FloatArray:
    """Return the reverberation time T = 0.161 V / (-S ln(1 - A/S) + 4 m V) (Eyring 1930)."""
    mean = np.minimum(np.asarray(absorption_m2) / surface_m2, 1.0 - 1e-9)
    walls = -surface_m2 * np.log1p(-mean)
    return np.asarray(DECAY_CONSTANT_S_PER_M * volume_m3 / (walls + 4.0 * air_per_m * volume_m3))


def absorption_m2(hall: Hall) -> FloatArray:
    """Return the absorption area (m²) of surfaces and people in the seven bands, without the air."""
    return np.asarray(np.sum(list(surface_absorption_m2(hall).values()), axis=0))


def estimated_reverberation_s(hall: Hall, *, formula: Literal["sabine", "eyring"] = "sabine") -> FloatArray:
    """Return the reverberation time (s) in the seven bands from what the hall is made of.

    Sabine's is the default because it is the longer of the two, and halls whose absorption is all on
    one surface ring longer than either formula says.
    """
    air = energy_attenuation_per_m(
        OCTAVES_HZ, temperature_c=hall.temperature_c, humidity_percent=hall.humidity_percent
    )
    area = absorption_m2(hall)
    if formula == "eyring":
        return eyring_s(hall.volume_m3, hall.surface_m2, area, air)
    return sabine_s(hall.volume_m3, area, air)


def reverberation_s(hall: Hall) -> FloatArray:
    """Return the reverberation time (s) in the seven bands: measured where it was, else estimated.

    A hall is measured while it is empty, and used with children in it: what they absorb is added to what the
    measured decay shows (Sabine).
    """
    if hall.measured_reverberation_s is None:
        return estimated_reverberation_s(hall)
    empty = np.asarray(hall.measured_reverberation_s, float)
    decays = DECAY_CONSTANT_S_PER_M * hall.volume_m3
    return np.asarray(decays / (decays / empty + children_absorb_m2(hall)))


def mid_reverberation_s(reverberation: FloatArray) -> float:
    """Return the one figure a hall is known by: the mean of 500 Hz, 1 kHz and 2 kHz."""
    return float(np.mean(reverberation[2:5]))


def total_absorption_m2(hall: Hall) -> FloatArray:
    """Return the absorption area (m²) in the seven bands that the hall's decay shows, air included."""
    return np.asarray(DECAY_CONSTANT_S_PER_M * hall.volume_m3 / reverberation_s(hall))


def largest_absorber(hall: Hall) -> tuple[str, float]:
    """Return the surface that absorbs most at 500 Hz to 2 kHz, and its share of all absorption."""
    parts = {name: float(np.mean(area[2:5])) for name, area in surface_absorption_m2(hall).items()}
    name = max(parts, key=lambda each: parts[each])
    return name, parts[name] / sum(parts.values())

"""How much sound the air itself absorbs: ISO 9613-1:1993."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from caller.hall.bands import FloatArray

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

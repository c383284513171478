"""Reverberation, air, levels: held against published formulas' worked values and two independent libraries.

Worked values marked "calc" come from the project's acoustics notes (the gym of 24 x 12 x 6.5 m), computed
there independently of this code; those marked "xchk" also agreed with the open-source libraries
`acoustics` 0.2.6 and `pyroomacoustics` 0.10.1.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from caller.hall import materials
from caller.hall.bands import (
    CLASS_SPECTRUM_DB,
    OCTAVES_HZ,
    ROOM_SPECTRUM_DB,
    SPEECH_SPECTRUM_DB,
    FloatArray,
    a_weighted_dba,
    shaped_db,
)
from caller.hall.floor import critical_distance_m, level_db
from caller.hall.reverberation import (
    DECAY_CONSTANT_S_PER_M,
    absorption_db_per_m,
    energy_attenuation_per_m,
    eyring_s,
    sabine_s,
)

VOLUME_M3, SURFACE_M2 = 24 * 12 * 6.5, 1044.0
GYM_M2 = np.array([78.48, 46.44, 48.24, 52.92, 62.28, 54.72])  # 125 Hz to 4 kHz


def gym_absorption_m2() -> FloatArray:
    table = materials()
    floor = np.array(table["sports-floor"].absorption)
    walls = np.array(table["painted-block"].absorption)
    ceiling = np.full(7, 0.02)
    return np.asarray(288 * floor + 468 * walls + 288 * ceiling)[:6]


def treated_gym_m2() -> FloatArray:
    table = materials()
    floor = np.array(table["sports-floor"].absorption)[:6]
    walls = np.array(table["painted-block"].absorption)[:6]
    ceiling = np.array([0.45, 0.75, 0.80, 0.85, 0.85, 0.80])
    children = 25 * np.array([0.12, 0.2, 0.3, 0.38, 0.42, 0.42])
    return np.asarray(288 * floor + 468 * walls + 288 * ceiling + children)


def air_6() -> FloatArray:
    return energy_attenuation_per_m(OCTAVES_HZ[:6])


def test_sabines_constant_is_0_1611_at_343_m_per_s() -> None:
    assert pytest.approx(0.1611, abs=5e-5) == DECAY_CONSTANT_S_PER_M


def test_air_absorption_is_iso_9613_1s() -> None:
    # ISO 9613-1:1993 at 20 °C, 50 %, 101.325 kPa, through the library `acoustics` (calc).
    found = absorption_db_per_m(OCTAVES_HZ) * 1000
    assert found == pytest.approx([0.44, 1.31, 2.73, 4.66, 9.89, 29.7, 105.3], rel=0.006)
    expected = [0.00041, 0.00121, 0.00251, 0.00430, 0.00911, 0.0273, 0.0970]
    assert 4 * energy_attenuation_per_m(OCTAVES_HZ) == pytest.approx(expected, rel=0.015)


def test_air_absorption_agrees_with_pyfar() -> None:
    pyfar = pytest.importorskip("pyfar")
    theirs, _, _ = pyfar.constants.air_attenuation(
        temperature=15.0, frequencies=np.array(OCTAVES_HZ), relative_humidity=0.4, atmospheric_pressure=101325
    )
    ours = absorption_db_per_m(OCTAVES_HZ, temperature_c=15.0, humidity_percent=40.0)
    assert ours == pytest.approx(theirs, rel=0.001)


def test_the_gyms_absorption_area_comes_from_the_material_table() -> None:
    assert gym_absorption_m2() == pytest.approx(GYM_M2)  # calc


@pytest.mark.parametrize(
    ("formula", "air", "expected_s"),
    [
        ("sabine", False, [3.843, 6.495, 6.252, 5.699, 4.843, 5.512]),  # xchk
        ("eyring", False, [3.697, 6.349, 6.107, 5.554, 4.697, 5.366]),  # xchk
        ("sabine", True, [3.81, 6.19, 5.70, 4.95, 3.80, 2.85]),  # calc
        ("eyring", True, [3.66, 6.06, 5.58, 4.84, 3.71, 2.81]),  # calc
    ],
)
def test_the_bare_gym_rings_as_worked(formula: str, air: bool, expected_s: list[float]) -> None:
    m = air_6() if air else 0.0
    if formula == "sabine":
        found = sabine_s(VOLUME_M3, gym_absorption_m2(), m)
    else:
        found = eyring_s(VOLUME_M3, SURFACE_M2, gym_absorption_m2(), m)
    assert found == pytest.approx(expected_s, abs=0.0051)


def test_the_treated_gym_with_25_children_rings_as_worked() -> None:
    area = treated_gym_m2()
    sabine = sabine_s(VOLUME_M3, area, air_6())
    eyring = eyring_s(VOLUME_M3, SURFACE_M2, area, air_6())
    assert sabine == pytest.approx([1.46, 1.14, 1.06, 0.97, 0.92, 0.88], abs=0.0055)  # calc
    assert eyring == pytest.approx([1.31, 0.99, 0.91, 0.83, 0.78, 0.77], abs=0.0055)  # calc


def test_sabine_and_eyring_agree_with_pyroomacoustics() -> None:
    pra = pytest.importorskip("pyroomacoustics")
    area = 90.0
    alpha = area / SURFACE_M2
    assert float(sabine_s(VOLUME_M3, area, 0.001)) == pytest.approx(
        pra.rt60_sabine(SURFACE_M2, VOLUME_M3, alpha, 0.001, 343.0), rel=1e-3
    )
    # That library's Eyring formula is right only without air (the sign of its air term is turned round).
    assert float(eyring_s(VOLUME_M3, SURFACE_M2, area)) == pytest.approx(
        pra.rt60_eyring(SURFACE_M2, VOLUME_M3, alpha, 0.0, 343.0), rel=1e-3
    )


@pytest.mark.parametrize(
    ("q", "t_s", "expected_m"), [(1, 3, 1.42), (2, 3, 2.01), (5, 3, 3.18), (5, 1.5, 4.50), (10, 3, 4.50)]
)
def test_the_critical_distance_is_as_worked(q: float, t_s: float, expected_m: float) -> None:
    # calc, with the rounded constant 0.057 √(QV/T); the exact form is 0.7 % lower.
    absorption = DECAY_CONSTANT_S_PER_M * VOLUME_M3 / t_s
    assert critical_distance_m(q, absorption) == pytest.approx(expected_m * 0.993, rel=0.005)


def test_the_level_falls_and_flattens_as_worked() -> None:
    # calc: Lw = 90, Q = 5, T = 3 s in 1872 m³ (A = 100.5 m²); formula in Beranek.
    absorption = DECAY_CONSTANT_S_PER_M * VOLUME_M3 / 3.0
    assert absorption == pytest.approx(100.5, abs=0.05)
    found = [level_db(90, r, 5, absorption) for r in (1, 2, 4, 8, 12, 20)]
    assert found == pytest.approx([86.4, 81.4, 78.1, 76.6, 76.3, 76.1], abs=0.051)


def test_doubling_the_absorption_lowers_the_reverberant_level_by_3_db() -> None:
    # DIN 18032-1 notes (found): far from the speaker, twice the absorption area is half the energy.
    far = 1e6
    assert level_db(90, far, 1, 50) - level_db(90, far, 1, 100) == pytest.approx(10 * math.log10(2), abs=1e-6)


def test_spectra_add_up_to_their_a_weighted_levels() -> None:
    assert a_weighted_dba(SPEECH_SPECTRUM_DB) == pytest.approx(0.02, abs=0.005)  # IEC 60268-16 ed. 5; calc
    assert a_weighted_dba([62, 66, 70, 72, 70, 62, 52]) == pytest.approx(75.63, abs=0.005)  # calc
    for spectrum in (CLASS_SPECTRUM_DB, ROOM_SPECTRUM_DB):
        assert a_weighted_dba(spectrum) == pytest.approx(0.0, abs=0.1)
        assert a_weighted_dba(shaped_db(spectrum, 60.0)) == pytest.approx(60.0, abs=1e-9)


def test_material_rows_named_found_are_pyroomacoustics_rows() -> None:
    pra = pytest.importorskip("pyroomacoustics")
    checked = 0
    for material in materials().values():
        if not material.source.startswith("Auralization, "):
            continue
        row = material.source.removeprefix("Auralization, ").split()[0]
        theirs = pra.materials_absorption_table[row]["coeffs"]
        seven = [*theirs, theirs[-1]][:7] if len(theirs) < 7 else theirs
        assert list(material.absorption) == pytest.approx(seven), row
        checked += 1
    assert checked >= 10

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.moves import compendium
from caller.moves.effort import CUTS, INTENSITIES, Sex, energy_kcal, intensity, resting_kcal_day

MASSES = st.floats(10, 90)
METS = st.floats(1, 12)


@given(MASSES, st.floats(3, 18), st.sampled_from(["girl", "boy"]))
def test_a_heavier_child_has_a_higher_resting_rate(mass_kg: float, age_y: float, sex: Sex) -> None:
    lighter = resting_kcal_day(mass_kg=mass_kg, age_y=age_y, sex=sex)
    assert resting_kcal_day(mass_kg=mass_kg + 1, age_y=age_y, sex=sex) > lighter > 0


@given(METS, st.floats(0, 7200), st.floats(500, 2000))
def test_gross_energy_is_net_energy_and_the_resting_share(met: float, seconds: float, resting: float) -> None:
    gross = energy_kcal(met, seconds, resting_kcal_day=resting)
    net = energy_kcal(met, seconds, resting_kcal_day=resting, net=True)
    assert gross - net == pytest.approx(resting * seconds / 86400)


@given(METS, METS)
def test_more_effort_is_never_a_lower_class(a: float, b: float) -> None:
    low, high = sorted((a, b))
    for each in CUTS:
        assert INTENSITIES.index(intensity(low, each)) <= INTENSITIES.index(intensity(high, each))


def test_the_older_band_begins_at_the_tenth_birthday() -> None:
    row = compendium()["60140X"]
    assert [row.met(age) for age in (5, 6, 9.9, 10, 12)] == [6.8, 6.8, 6.8, 7.4, 7.4]


def test_a_child_without_mass_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^A child's mass must be above 0 kg; it is 0\.$"):
        resting_kcal_day(mass_kg=0, age_y=8, sex="girl")


@pytest.mark.parametrize("age_y", [2.9, 18.1, float("nan")])
def test_an_age_outside_the_equations_is_refused(age_y: float) -> None:
    with pytest.raises(
        ValueError, match=rf"^The resting rate is known from 3 to 18 years; the age is {age_y:g}\.$"
    ):
        resting_kcal_day(mass_kg=30, age_y=age_y, sex="boy")


def test_the_status_says_where_a_value_comes_from() -> None:
    rows = compendium()
    assert rows["10260X"].status == "youth 10260X, jump rope"
    assert rows["30200X"].status == "youth 30200X, calisthenics (name inferred)"
    assert rows["02101"].status == "no youth value: ADULT 02101, stretching, mild"

"""How hard a move is for a child: resting rate, energy, and intensity classes with their cut named.

Energy is for teachers' summaries of a group. It is never shown to children, and the compendium's authors do
not recommend it for one child.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Sex = Literal["girl", "boy"]
Intensity = Literal["rest", "light", "moderate", "vigorous"]
INTENSITIES: Final[tuple[Intensity, ...]] = ("rest", "light", "moderate", "vigorous")

MINUTES_A_DAY: Final = 1440
SCHOFIELD_SWITCH_Y: Final = 10
_LIGHT_MET: Final = 1.5

# Schofield 1985, Hum Nutr Clin Nutr 39C Suppl 1:5-41, kcal a day: slope per kilogram, intercept.
_SCHOFIELD: Final[dict[tuple[Sex, bool], tuple[float, float]]] = {
    ("boy", False): (22.706, 504.3),
    ("girl", False): (20.315, 485.9),
    ("boy", True): (17.686, 658.2),
    ("girl", True): (13.384, 692.6),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Where moderate and vigorous begin, in METy, and who draws the line there."""

    name: str
    moderate_met: float
    vigorous_met: float
    source: str


CUT_3: Final = Cut(
    name="moderate from 3 METy",
    moderate_met=3.0,
    vigorous_met=6.0,
    source="Ridley, Ainsworth & Olds 2008, IJBNPA 5:45; vigorous from 6, Butte 2018 and NCCOR, from memory",
)
CUT_4: Final = Cut(
    name="moderate from 4 METy",
    moderate_met=4.0,
    vigorous_met=7.0,
    source="Wolff-Hughes et al. 2015, PLoS ONE 10(1):e0115915, for 6-17 years; vigorous from 7, from memory",
)
CUTS: Final = (CUT_3, CUT_4)
"""Papers differ, and the active share swings with the cut: always print its name beside the number."""


def resting_kcal_day(*, mass_kg: float, age_y: float, sex: Sex) -> float:
    """Return a child's basal metabolic rate in kcal a day, by Schofield 1985.

    The equations cover 3 to 18 years; the tenth birthday switches from one to the other.

    Raises
    ------
    ValueError
        The mass is not positive, or the age is outside 3 to 18.
    """
    if not mass_kg > 0:
        raise ValueError(f"A child's mass must be above 0 kg; it is {mass_kg:g}.")
    if not 3 <= age_y <= 18:
        raise ValueError(f"The resting rate is known from 3 to 18 years; the age is {age_y:g}.")
    slope, intercept = _SCHOFIELD[sex, age_y >= SCHOFIELD_SWITCH_Y]
    return slope * mass_kg + intercept


def energy_kcal(met: float, seconds: float, *, resting_kcal_day: float, net: bool = False) -> float:
    """Return the energy of `seconds` at `met` times the resting rate; `net` leaves the resting share out.

    The compendium's method: METy x basal rate / 1440 x minutes (Butte et al. 2018).
    """
    above = met - 1 if net else met
    return above * resting_kcal_day / MINUTES_A_DAY * seconds / 60


def intensity(met: float, cut: Cut = CUT_3) -> Intensity:
    """Return the class of an effort under `cut`."""
    if met >= cut.vigorous_met:
        return "vigorous"
    if met >= cut.moderate_met:
        return "moderate"
    return "light" if met >= _LIGHT_MET else "rest"

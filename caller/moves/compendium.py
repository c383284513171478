"""What an activity costs: rows of the youth compendium, and of the adult one where the youth one has none."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final

_OLDER_BAND_Y: Final = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """One row: an activity's cost as a multiple of the resting rate.

    Attributes
    ----------
    code
        Compendium code; in youth codes X stands for the age-group digit.
    met_6_9, met_10_12
        METy for the two age bands; an adult row has the same MET in both.
    adult
        The row is an adult value: there is no youth value for this activity.
    matched
        The activity's name was inferred from the adult code a transcription matches it to.
    """

    code: str
    activity: str
    met_6_9: float
    met_10_12: float
    adult: bool
    matched: bool

    def met(self, age_y: float) -> float:
        """Return the value at `age_y` years; five-year-olds take the 6-9 band, the lowest there is."""
        return self.met_6_9 if age_y < _OLDER_BAND_Y else self.met_10_12

    @property
    def status(self) -> str:
        """How far the value can be trusted, in words to print beside it."""
        if self.adult:
            return f"no youth value: ADULT {self.code}, {self.activity}"
        name = f"{self.activity} (name inferred)" if self.matched else self.activity
        return f"youth {self.code}, {name}"


@cache
def compendium() -> Mapping[str, Activity]:
    """Return every row by its code, read once from the packaged table."""
    table = tomllib.loads(files("caller.moves").joinpath("compendium.toml").read_text("utf-8"))
    rows = {code: Activity(code=code, adult=False, **row) for code, row in table["youth"].items()}
    for code, row in table["adult"].items():
        met = row["met"]
        rows[code] = Activity(
            code=code, activity=row["activity"], met_6_9=met, met_10_12=met, adult=True, matched=False
        )
    return MappingProxyType(rows)

"""What a lesson asks of a child: minutes by intensity, active share, energy, jumps, warm-up and calm."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, takewhile
from types import MappingProxyType
from typing import Final

from caller.moves import CompendiumRow, Move, compendium, find
from caller.moves.effort import (
    CUT_3,
    INTENSITIES,
    Cut,
    Intensity,
    Sex,
    energy_kcal,
    intensity,
    resting_kcal_day,
)
from caller.moves.uses import calm as is_calm
from caller.moves.uses import gentle

GUIDELINE_SHARE: Final = 0.5
GUIDELINE: Final = (
    "at least half of PE time in moderate-to-vigorous activity "
    "(Institute of Medicine 2013, Educating the Student Body, recommendation 1)"
)
WARM_UP_S: Final = 120.0
CALM_S: Final = 25.0
"""Least gentle movement before the work (common practice, no source; more where time allows), and calm after
it: it
settles heart and breath, and more does little (Van Hooren and Peake 2018, Sports Med 48)."""

# Between moves children stand: the youth table has no such row.
_STANDING: Final = "07040"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """A stretch of time in which the class does one thing.

    Attributes
    ----------
    kind
        "move", or what else the class does ("listen", "think", ...), which counts as standing quietly.
    move
        The move's slug or English name, for kind "move" only.
    reps
        Repetitions done; worked out from the seconds and the move's tempo where None.
    """

    kind: str
    seconds: float
    move: str | None = None
    reps: float | None = None

    def __post_init__(self) -> None:
        if self.seconds < 0:
            raise ValueError(f"A spell cannot last {self.seconds:g} s.")
        if (self.kind == "move") != (self.move is not None):
            raise ValueError('A spell names a move exactly when its kind is "move".')


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """The activity in a lesson, for one child who does all of it.

    Attributes
    ----------
    cut
        Where moderate and vigorous begin; it belongs beside every number below.
    seconds
        Time at each intensity.
    adult_s
        Time whose effort is an adult value, because the youth table has none (standing included).
    gross_kcal, net_kcal
        Energy with and without the resting share: for the teacher's summary of a group, not for children.
    jumps
        Landings from jumps and hops.
    longest_effort_s
        The longest time without a break at or above moderate.
    warm_up_s, calm_s
        Gentle movement before the first and after the last work.
    """

    cut: Cut
    seconds: Mapping[Intensity, float]
    adult_s: float
    gross_kcal: float
    net_kcal: float
    jumps: int
    longest_effort_s: float
    warm_up_s: float
    calm_s: float

    @property
    def total_s(self) -> float:
        """The whole time."""
        return sum(self.seconds.values())

    @property
    def mvpa_s(self) -> float:
        """Time in moderate-to-vigorous activity."""
        return self.seconds["moderate"] + self.seconds["vigorous"]

    @property
    def mvpa_share(self) -> float:
        """Share of the time in moderate-to-vigorous activity, 0 to 1; 0 for an empty lesson."""
        return self.mvpa_s / self.total_s if self.total_s else 0.0

    @property
    def short_of_guideline_s(self) -> float:
        """How much more active time the guideline asks for; 0 where it is met."""
        return max(0.0, GUIDELINE_SHARE * self.total_s - self.mvpa_s)

    def in_words(self) -> str:
        """The active share as one sentence, its cut included."""
        minutes = f"{self.total_s / 60:.0f} min ({self.mvpa_s / 60:.1f} min)"
        return (
            f"{self.mvpa_share:.0%} of {minutes} calls for moderate or vigorous movement "
            f"({self.cut.name}); the guideline is {GUIDELINE_SHARE:.0%}."
        )


def dose(spells: Sequence[Spell], *, age_y: float, mass_kg: float, sex: Sex, cut: Cut = CUT_3) -> Dose:
    """Return the activity dose of `spells` for a child of this age, mass and sex.

    Raises
    ------
    NotFoundError
        A move is not in the catalogue.
    ValueError
        The mass or age is outside what the resting rate covers.
    """
    resting = resting_kcal_day(mass_kg=mass_kg, age_y=age_y, sex=sex)
    steps = [_Step.of(spell, age_y, cut) for spell in spells]
    seconds: dict[Intensity, float] = dict.fromkeys(INTENSITIES, 0.0)
    for step in steps:
        seconds[step.intensity] += step.seconds
    gross, net = (
        sum(energy_kcal(step.met, step.seconds, resting_kcal_day=resting, net=left_out) for step in steps)
        for left_out in (False, True)
    )
    runs = groupby(steps, key=lambda step: step.active)
    return Dose(
        cut=cut,
        seconds=MappingProxyType(seconds),
        adult_s=sum(step.seconds for step in steps if step.effort.adult),
        gross_kcal=gross,
        net_kcal=net,
        jumps=round(sum(step.jumps for step in steps)),
        longest_effort_s=max(
            (sum(step.seconds for step in run) for active, run in runs if active), default=0.0
        ),
        warm_up_s=_moved_s(takewhile(lambda step: not step.work, steps)),
        calm_s=_moved_s(takewhile(lambda step: step.calm or step.move is None, reversed(steps))),
    )


def effort_met(spell: Spell, *, age_y: float) -> float:
    """Return how hard a spell is, in METy; standing where it names no move."""
    return _Step.of(spell, age_y, CUT_3).met


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    """A spell with its effort looked up."""

    seconds: float
    age_y: float
    move: Move | None
    effort: CompendiumRow
    met: float
    intensity: Intensity
    jumps: float

    @classmethod
    def of(cls, spell: Spell, age_y: float, cut: Cut) -> _Step:
        move = None if spell.move is None else find(spell.move)
        effort = compendium()[_STANDING] if move is None else move.effort
        met = effort.met(age_y)
        jumps = 0.0
        if move is not None and move.jumps:
            jumps = move.jumps * (spell.seconds * move.tempo_hz if spell.reps is None else spell.reps)
        return cls(
            seconds=spell.seconds,
            age_y=age_y,
            move=move,
            effort=effort,
            met=met,
            intensity=intensity(met, cut),
            jumps=jumps,
        )

    @property
    def active(self) -> bool:
        return self.intensity in {"moderate", "vigorous"}

    @property
    def work(self) -> bool:
        return self.move is not None and not gentle(self.move)

    @property
    def calm(self) -> bool:
        return self.move is not None and is_calm(self.move, self.age_y)


def _moved_s(steps: Iterable[_Step]) -> float:
    return sum(step.seconds for step in steps if step.move is not None)

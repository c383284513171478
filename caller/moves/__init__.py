"""The moves a class can be asked to do, read from the packaged table, and what each costs by the
compendium.

Words are for a class of six-year-olds, and each language keeps one way of speaking to them: Spanish the
informal singular (tú), so that every child feels meant; French and German the plural (vous, ihr), as a
teacher speaks to a class. Calls avoid forms that would mean only girls or only boys, except the French
collective plural.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Final, Literal, get_args

from caller.errors import NotFoundError
from caller.languages.folders import MODEL, LanguageError, table
from caller.scripts.tables import nearest

_OLDER_BAND_Y: Final = 10
_WORD: Final = re.compile(r"\w+")


@dataclass(frozen=True, slots=True, kw_only=True)
class CompendiumRow:
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
def compendium() -> Mapping[str, CompendiumRow]:
    """Return every row by its code, read once from the packaged table."""
    table = tomllib.loads(files("caller.moves").joinpath("compendium.toml").read_text("utf-8"))
    rows = {code: CompendiumRow(code=code, adult=False, **row) for code, row in table["youth"].items()}
    for code, row in table["adult"].items():
        met = row["met"]
        rows[code] = CompendiumRow(
            code=code, activity=row["activity"], met_6_9=met, met_10_12=met, adult=True, matched=False
        )
    return MappingProxyType(rows)


MoveKind = Literal["warm-up", "locomotor", "strength", "balance", "stretch", "seated"]
HIGH_IMPACT = 2
"""From here both feet leave the floor: the trade's high impact (common practice, no source)."""

WALKING_BPM: Final = 120.0
"""Children of five and six step most steadily to 120 a minute, less so above and below (Percept Mot Skills
2011, 113:331, abstract)."""
RUNNING_BPM: Final = 150.0
"""Running on the spot: 150 to 180 steps a minute. Both paces put the seconds of a countdown on a beat or
halfway between two."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Move:
    """One move, with what a planner, a voice and a teacher need to know of it; each exists once.

    Attributes
    ----------
    seated
        Slug of the seated move that gives the same answer (itself, for a seated move).
    effort, nearest
        The compendium row, and why that row where it is not the move itself.
    impact
        0 planted or seated, 1 one foot always down, 2 both feet leave the floor a little, 3 a jump or hop.
    radius_m
        Circle that a child of 1.40 m needs.
    beats
        Beats in one repetition, which is the whole loop, both sides where `sides` is true.
    running
        Steps at a running pace.
    jumps
        Landings from a jump or hop in one repetition; running steps do not count.
    noisy
        A class doing it is heard through the floor and over the voice.
    hold
        Kept still: counted in seconds, not repetitions.
    """

    slug: str
    kind: MoveKind
    seated: str
    effort: CompendiumRow
    nearest: str
    impact: int
    radius_m: float
    floor: bool
    beats: int
    muscle: str
    sides: bool
    noisy: bool
    hold: bool
    jumps: int
    running: bool

    def name(self, language: str = MODEL) -> str:
        """Return the move's name in a language, such as "en-GB"."""
        return self._in(language, "name")

    def call(self, language: str = MODEL) -> str:
        """Return what the voice says: one short imperative, without a full stop."""
        return self._in(language, "call")

    def how(self, language: str = MODEL) -> str:
        """Return the one-line how-to."""
        return self._in(language, "how")

    def easier(self, language: str = MODEL) -> str:
        """Return how to do it with less effort, for the teacher."""
        return self._in(language, "easier")

    def caution(self, language: str = MODEL) -> str:
        """Return what to mind so that nobody is hurt, for the teacher."""
        return self._in(language, "caution")

    def _in(self, language: str, what: str) -> str:
        return str(table(language, "moves")[self.slug][what])

    @property
    def bpm(self) -> float:
        """The pace at which it is done by itself, in beats a minute."""
        return RUNNING_BPM if self.running else WALKING_BPM

    @property
    def tempo_hz(self) -> float:
        """Repetitions a second at its own pace."""
        return self.bpm / 60.0 / self.beats

    @property
    def high_impact(self) -> bool:
        """Whether both feet leave the floor."""
        return self.impact >= HIGH_IMPACT


@cache
def catalogue() -> Mapping[str, Move]:
    """Return every move by its slug, in the table's order, read once."""
    rows = tomllib.loads(files("caller.moves").joinpath("catalogue.toml").read_text("utf-8"))
    if unmatched := rows.keys() ^ table(MODEL, "moves").keys():
        raise LanguageError(f"Some moves have no words, or words no move: {', '.join(sorted(unmatched))}.")
    return MappingProxyType({slug: _move(slug, row) for slug, row in rows.items()})


def _move(slug: str, row: dict[str, Any]) -> Move:
    return Move(
        slug=slug,
        effort=compendium()[row.pop("effort")],
        noisy=row.pop("noisy", False),
        hold=row.pop("hold", False),
        jumps=row.pop("jumps", 0),
        running=row.pop("running", False),
        **row,
    )


def kinds() -> tuple[MoveKind, ...]:
    """Return the kinds of moves, in the catalogue's order."""
    return get_args(MoveKind)


def find(name: str) -> Move:
    """Return the move with this slug or English name, however it is capitalised.

    Raises
    ------
    NotFoundError
        There is none; the message names the nearest one.
    """
    by_slug = catalogue().get(name)
    if by_slug is not None:
        return by_slug
    names = _found_by()
    asked = _plainly(name)
    if asked in names:
        return names[asked]
    near = nearest(asked, names)
    hint = f'did you mean "{names[near].slug}"?' if near else '"hall-caller moves" lists them all.'
    raise NotFoundError(f'There is no move called "{name}"; {hint}')


@cache
def _found_by() -> Mapping[str, Move]:
    return {_plainly(word): move for move in catalogue().values() for word in (move.slug, move.name())}


def _plainly(name: str) -> str:
    """Return a name's words in small letters, without what stands between them."""
    return " ".join(_WORD.findall(name.lower()))

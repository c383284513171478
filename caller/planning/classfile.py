"""The class file: what a planner has to know of a class, and nothing of its children; lists of names go."""

from __future__ import annotations

import dataclasses
import re
import unicodedata
from collections.abc import Container
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, get_args

from caller.clock.ladder import STEP_CODES
from caller.languages.folders import CODES, table
from caller.lesson import LanguageCode
from caller.moves import catalogue
from caller.moves.pairs import Conditions
from caller.scripts.kinds import FileName, Flag, Known, ListOf, Number, OneOf, Text, Whole
from caller.scripts.source import TomlSource, load, parse
from caller.scripts.tables import FilePlace, Misfit, Single, finish, key, keys_of, read_table

_WHAT = "this looks like a list of pupils' names."
_MEND = (
    "Take it out: the caller keeps nothing about single children. "
    "Write how many seated places the class needs, and keep names in the school's own system."
)


@cache
def _roster_word() -> re.Pattern[str]:
    """Return what such a list is called, in any language of the calls."""
    called = "|".join(word for code in CODES for word in table(code, "language")["class-list"])
    return re.compile(rf"(?<![a-z])({called})(?![a-z])")


_NAME = re.compile(r"[A-Z][\w'’-]+(?: [A-Z][\w'’.-]*){0,2}")
_FEWEST = 2


def take_out_rosters(data: dict[str, Any], place: FilePlace, *, known: Container[str]) -> dict[str, Any]:
    """Return `data` without what looks like a list of names; each one is reported at its place.

    A key that is not known is taken for a roster if it is called one and holds several values, or if it
    holds names. Words under any key are taken for one if they are several names with commas between them.
    """
    kept = {}
    for called, value in data.items():
        parts = value.split(",") if isinstance(value, str) else []
        several = isinstance(value, list | dict) or len(parts) > 1
        strange = called not in known and ((several and _named_like_a_roster(called)) or _holds_names(value))
        if strange or _is_list_of_names(parts, fewest=3):
            place.inside(called).report(_WHAT, _MEND, at_key=True)
        else:
            kept[called] = value
    return kept


def _named_like_a_roster(key: str) -> bool:
    plain = "".join(
        letter for letter in unicodedata.normalize("NFKD", key) if not unicodedata.combining(letter)
    )
    return _roster_word().search(plain.lower()) is not None


def _holds_names(value: object) -> bool:
    if isinstance(value, dict):
        return _is_list_of_names(list(value), fewest=_FEWEST) or any(map(_holds_names, value.values()))
    if isinstance(value, list):
        return _is_list_of_names(value, fewest=_FEWEST) or any(map(_holds_names, value))
    return False


def _is_list_of_names(parts: list[Any], *, fewest: int) -> bool:
    return len(parts) >= fewest and all(
        isinstance(part, str) and _NAME.fullmatch(part.strip()) for part in parts
    )


# ruff: noqa: RUF009 - `key` returns a dataclass field, as dataclasses.field does


ReadsWords = Literal["none", "early", "fluent"]

LEAST_MINUTES, MOST_MINUTES = 5, 60
_YOUNGEST_Y, _OLDEST_Y = 4, 13
_AGES = re.compile(r"^ *([0-9]{1,2}) *[-–] *([0-9]{1,2}) *$")


@dataclass(frozen=True, slots=True)
class AgeBand(Single[tuple[int, int]]):
    """Two ages in years, like "6-7"."""

    def accept(self, value: object) -> tuple[int, int]:
        """Return the youngest and the oldest age; one age alone is both."""
        written = f"{value}-{value}" if type(value) is int else value
        ages = _AGES.fullmatch(written) if isinstance(written, str) else None
        if ages is None:
            raise Misfit("this needs an age band.", 'Write two ages in quotes, like "6-7".')
        youngest, oldest = int(ages[1]), int(ages[2])
        if not _YOUNGEST_Y <= youngest <= oldest <= _OLDEST_Y:
            raise Misfit(
                "these ages do not fit.",
                f"Write the younger first, from {_YOUNGEST_Y} to {_OLDEST_Y} years.",
            )
        return youngest, oldest

    def write(self, value: tuple[int, int]) -> str:
        """Return both ages with a hyphen."""
        return f"{value[0]}-{value[1]}"

    def schema(self) -> dict[str, Any]:
        """Return a string of two ages, or one whole number."""
        return {
            "anyOf": [
                {"type": "string", "pattern": _AGES.pattern},
                {"type": "integer", "minimum": _YOUNGEST_Y, "maximum": _OLDEST_Y},
            ]
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class SchoolClass:
    """A class, as its file tells it."""

    format: int = key(1, Whole(1, 1), "The format of this file.")
    name: str = key("", Text(60), "The class's name; never a pupil's.")
    age: tuple[int, int] = key((6, 7), AgeBand(), 'How old the children are, like "6-7".')
    step: str = key("quarters", OneOf(STEP_CODES), "How finely this class reads the clock.")
    minutes: int = key(
        20, Whole(LEAST_MINUTES, MOST_MINUTES, "minutes"), "The length of the usual period, in minutes."
    )
    hall: str = key("", FileName(), 'A hall file beside this one, or a ready-made hall such as "gym".')
    space_m: float = key(2.0, Number(0.5, 10.0, "metres"), "Free floor for each child, across, in metres.")
    shod: bool = key(True, Flag(), "true with shoes on; false for bare feet or socks.")
    language: LanguageCode = key("en-GB", OneOf(CODES), "The language of the calls.")
    second_language: LanguageCode | None = key(
        None, OneOf(CODES), "A language in which the main words are said again."
    )
    reading: ReadsWords = key(
        "early", OneOf(get_args(ReadsWords)), "How the class reads words: none, early or fluent."
    )
    avoid: tuple[str, ...] = key((), ListOf(Known("move", catalogue), 40), "Moves this class does not do.")
    seated_places: int = key(
        0, Whole(0, 40, "places"), "How many children answer from a chair or a wheelchair."
    )
    count_by_ear: bool = key(
        False,
        Flag(),
        "true has each side clap before the answer, and counts the class by the microphone.",
    )
    seated: bool = key(False, Flag(), "true where the whole class sits, as at an indoor break.")

    @property
    def age_y(self) -> float:
        """The middle of the age band, in years: the oldest are a year less a day older than they say."""
        return (self.age[0] + self.age[1] + 1) / 2

    @property
    def conditions(self) -> Conditions:
        """What limits this class's moves."""
        return Conditions(
            space_radius_m=self.space_m / 2,
            shod=self.shod,
            avoid=frozenset(self.avoid),
            seated_needed=self.seated_places > 0,
            chairs=self.seated,
        )


def read_class(path: Path) -> SchoolClass:
    """Return the class in the file at `path`.

    Raises
    ------
    NotFoundError
        If there is no such file.
    ScriptProblems
        If it cannot be used, or holds names of pupils; every problem found is in it.
    """
    return _school_class(load(path))


def class_from_text(text: str, name: str = "class.toml") -> SchoolClass:
    """Return the class in `text`; `name` is what errors call the file."""
    return _school_class(parse(text, name))


def _school_class(source: TomlSource) -> SchoolClass:
    place = FilePlace(source, (), [])
    known = frozenset(each.name for each in keys_of(SchoolClass))
    data = take_out_rosters(source.data, place, known=known)
    school_class = read_table(SchoolClass, data, place)
    if school_class.second_language == school_class.language:
        school_class = dataclasses.replace(school_class, second_language=None)
    if not school_class.name and not place.problems:
        place.report("this class has no name.", 'Write its name, like name = "Terns".')
    finish(place)
    return school_class

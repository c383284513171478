"""Refuse lists of pupils' names: the caller keeps nothing about single children."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container
from functools import cache
from typing import Any

from caller.languages.folders import CODES, table
from caller.scripts.tables import FilePlace

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

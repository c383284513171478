"""What a key of a script, class or hall file may hold, and the same as a JSON Schema for editors.

`docs/make.py` in a checkout writes the schema of every file that a teacher may write into docs/.
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from caller.errors import harmless
from caller.scripts.tables import (
    FilePlace,
    Misfit,
    Single,
    ValueKind,
    keys_of,
    read_table,
    shortened,
    suggestion,
)

T = TypeVar("T")
S_co = TypeVar("S_co", bound=str, covariant=True)

# Angle and square brackets and backslashes are commands to some speech engines.
_SPOKEN = re.compile(r"[^<>\[\]{}\\]*")


@dataclass(frozen=True, slots=True)
class Text(Single[str]):
    """Words to be said or shown."""

    longest: int = 200

    def accept(self, value: object) -> str:
        """Return the words, with runs of blanks made single."""
        if not isinstance(value, str):
            raise Misfit(
                f"this needs words, and has {_named(value)}.", 'Put it in straight quotes, like "Terns".'
            )
        words = " ".join(value.split())
        if len(words) > self.longest:
            raise Misfit(
                f"this is {len(words)} letters long.",
                f"Keep it to {self.longest}, so that it can be said in one go.",
            )
        if not _SPOKEN.fullmatch(words) or harmless(words) != words or "\t" in words:
            raise Misfit(
                "these words hold a bracket, a backslash or an unseen letter.", "Use plain words only."
            )
        return words

    def schema(self) -> dict[str, Any]:
        """Return a string of bounded length."""
        return {"type": "string", "maxLength": self.longest, "pattern": r"^[^<>\[\]{}\\]*$"}


@dataclass(frozen=True, slots=True)
class Whole(Single[int]):
    """A whole number within limits."""

    least: int
    most: int
    unit: str = ""

    def accept(self, value: object) -> int:
        """Return the number; true and false are not numbers."""
        if isinstance(value, bool) or not isinstance(value, int):
            raise Misfit(
                f"this needs a whole number, and has {_named(value)}.",
                f"Write a number like {self.least}, without quotes.",
            )
        if not self.least <= value <= self.most:
            raise Misfit(
                f"{_short_number(value)} is outside what this may be.",
                f"Choose from {self.least} to {self.most}{_of(self.unit)}.",
            )
        return value

    def schema(self) -> dict[str, Any]:
        """Return an integer within limits."""
        return {"type": "integer", "minimum": self.least, "maximum": self.most}


@dataclass(frozen=True, slots=True)
class Number(Single[float]):
    """A number within limits."""

    least: float
    most: float
    unit: str = ""

    def accept(self, value: object) -> float:
        """Return the number; true and false are not numbers, and nan is within no limits."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise Misfit(
                f"this needs a number, and has {_named(value)}.",
                f"Write a number like {self.least:g}, without quotes.",
            )
        if not self.least <= value <= self.most:
            raise Misfit(
                f"{_short_number(value)} is outside what this may be.",
                f"Choose from {self.least:g} to {self.most:g}{_of(self.unit)}.",
            )
        return float(value)

    def schema(self) -> dict[str, Any]:
        """Return a number within limits."""
        return {"type": "number", "minimum": self.least, "maximum": self.most}


@dataclass(frozen=True, slots=True)
class Flag(Single[bool]):
    """Yes or no."""

    def accept(self, value: object) -> bool:
        """Return the flag."""
        if not isinstance(value, bool):
            raise Misfit(
                f"this needs true or false, and has {_named(value)}.", "Write true or false, without quotes."
            )
        return value

    def schema(self) -> dict[str, Any]:
        """Return a boolean."""
        return {"type": "boolean"}


@dataclass(frozen=True, slots=True)
class OneOf(Single[S_co], Generic[S_co]):
    """One of a few words."""

    words: tuple[S_co, ...]

    def accept(self, value: object) -> S_co:
        """Return the word."""
        for word in self.words:
            if value == word:
                return word
        choices = ", ".join(f'"{word}"' for word in self.words)
        near = suggestion(value, self.words) if isinstance(value, str) else ""
        mend = near if near.startswith("Did") else f"Use one of {choices}."
        raise Misfit(f"{_named(value)} is not known here.", mend)

    def schema(self) -> dict[str, Any]:
        """Return an enumeration."""
        return {"enum": list(self.words)}


@dataclass(frozen=True, slots=True)
class Known(Single[str]):
    """A name that a catalogue knows; the catalogue is asked only when a file is read."""

    what: str  # "move", "step"
    names: Callable[[], Iterable[str]]

    def accept(self, value: object) -> str:
        """Return the name."""
        names = list(self.names())
        if isinstance(value, str) and value in names:
            return value
        mend = (
            suggestion(value, names)
            if isinstance(value, str)
            else f'Write its name in quotes, like "{names[0]}".'
        )
        raise Misfit(f"there is no {self.what} called {_named(value)}.", mend)

    def schema(self) -> dict[str, Any]:
        """Return an enumeration of the names."""
        return {"enum": list(self.names())}


@dataclass(frozen=True, slots=True)
class FileName(Single[str]):
    """The name of a file beside this one; never a path, so that a script cannot reach elsewhere."""

    def accept(self, value: object) -> str:
        """Return the name."""
        if not isinstance(value, str) or not _FILE_NAME.fullmatch(value):
            raise Misfit(
                f"{_named(value)} is not a file's name.", 'Name a file in the same folder, like "hall.toml".'
            )
        return value

    def schema(self) -> dict[str, Any]:
        """Return a string without folders."""
        return {"type": "string", "pattern": _FILE_NAME.pattern}


# Any name that is none of a folder's, on every system, and no hidden file.
_FILE_NAME = re.compile(r"^[^./\\:\x00-\x1f][^/\\:\x00-\x1f]{0,99}$")


@dataclass(frozen=True, slots=True)
class ListOf(ValueKind[tuple[T, ...]], Generic[T]):
    """A list; one item may also stand without brackets."""

    item: ValueKind[T]
    most: int

    def read(self, value: object, place: FilePlace) -> tuple[T, ...]:
        """Return the items; each that does not fit is reported on its own."""
        if not isinstance(value, list):
            return (self.item.read(value, place),)
        if len(value) > self.most:
            raise Misfit(f"this list has {len(value)} items.", f"Keep it to {self.most}.")
        items: list[T] = []
        for index, each in enumerate(value):
            try:
                items.append(self.item.read(each, place.inside(index)))
            except Misfit as misfit:
                place.inside(index).report(misfit.what, misfit.mend)
        return tuple(items)

    def write(self, value: Sequence[T]) -> Any:
        """Return a list, or the item itself where there is only one."""
        items = [self.item.write(each) for each in value]
        return items[0] if len(items) == 1 else items

    def schema(self) -> dict[str, Any]:
        """Return an item, or an array of them."""
        item = self.item.schema()
        return {"anyOf": [item, {"type": "array", "items": item, "maxItems": self.most}]}


@dataclass(frozen=True, slots=True)
class TableOf(ValueKind[T], Generic[T]):
    """A table of its own: [voice]; what it leaves out is as in `usual`, or else at the keys' own defaults."""

    cls: type[T]
    usual: T | None = None

    def read(self, value: object, place: FilePlace) -> T:
        """Return the table as a `cls`."""
        return read_table(self.cls, value, place, usual=self.usual)

    def schema(self) -> dict[str, Any]:
        """Return an object with these keys and no others."""
        return table_schema(self.cls, usual=self.usual)


@dataclass(frozen=True, slots=True)
class TablesOf(ValueKind[tuple[T, ...]], Generic[T]):
    """Tables in a row: [[round]]."""

    cls: type[T]
    most: int
    least: int = 0

    def read(self, value: object, place: FilePlace) -> tuple[T, ...]:
        """Return the tables, each as a `cls`."""
        name = place.path[-1]
        if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
            raise Misfit("this needs headings in double brackets.", f"Write [[{name}]] above each.")
        if len(value) > self.most:
            raise Misfit(f"there are {len(value)} of these.", f"Keep it to {self.most}.")
        if len(value) < self.least:
            raise Misfit("there are none of these.", f"Write [[{name}]] above each.")
        return tuple(read_table(self.cls, each, place.inside(index)) for index, each in enumerate(value))

    def schema(self) -> dict[str, Any]:
        """Return an array of objects."""
        array = {"type": "array", "items": table_schema(self.cls), "maxItems": self.most}
        return {**array, "minItems": self.least} if self.least else array


def table_schema(cls: type[object], *, usual: object = None) -> dict[str, Any]:
    """Return the JSON Schema of a dataclass declared with `key`; `usual` holds other defaults."""
    properties = {}
    for each in keys_of(cls):
        described = {"description": each.note, **each.kind.schema()}
        default = each.default if usual is None else getattr(usual, each.field)
        if isinstance(default, str | int | float) and default != "":
            described["default"] = default
        properties[each.name] = described
    return {"type": "object", "properties": properties, "additionalProperties": False}


def _named(value: object) -> str:
    """Return a value as an error may quote it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{shortened(value)}"'
    if isinstance(value, int | float):
        return _short_number(value)
    if isinstance(value, datetime.date | datetime.time):
        return "a date or time without quotes"
    return "a list" if isinstance(value, list) else "a group of values"


def _short_number(value: float) -> str:
    return "so large a number" if abs(value) >= 1e12 else str(value)


def _of(unit: str) -> str:
    return f" {unit}" if unit else ""


DRAFT = "https://json-schema.org/draft/2020-12/schema"


def file_schema(cls: type[object], title: str, *, required: Sequence[str] = ()) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a file, read as TOML.

    Parameters
    ----------
    cls
        The dataclass, declared with `key`, that the file is read into.
    title
        What the file is, for the person in the editor.
    required
        Keys that every such file must have.
    """
    schema = {"$schema": DRAFT, "title": title, **table_schema(cls)}
    return {**schema, "required": list(required)} if required else schema


def schema_text(schema: dict[str, Any]) -> str:
    """Return a schema as it stands in its file."""
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"

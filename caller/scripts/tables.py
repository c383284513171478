"""Read a located TOML table into a dataclass whose fields say what they may hold.

A dataclass is its own table of keys: each field carries a `ValueKind` (what may be written there), a
note for the reader of a script, and its default. Reading, writing and the published schema all
walk these fields, so a key is described once. Every problem of a file is gathered in one pass.
"""

from __future__ import annotations

import dataclasses
from abc import ABC, abstractmethod
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any, Generic, TypeVar

from caller.scripts.scan import KeyPath
from caller.scripts.source import Problem, ScriptProblems, TomlSource

T = TypeVar("T")
V_co = TypeVar("V_co", covariant=True)
D = TypeVar("D")

_NEAR_ENOUGH = 0.6  # of their letters alike; below this a suggestion would puzzle more than it helps
_LONGEST_NAME = 60  # more letters than this are not a slip in a name


class Misfit(Exception):  # noqa: N818 - a signal within this package, reported as a Problem
    """A value that does not fit its key: what is wrong, and how to mend it."""

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(what)
        self.what = what
        self.mend = mend


@dataclass(frozen=True, slots=True)
class FilePlace:
    """A spot in a file, with the list that its problems go to."""

    source: TomlSource
    path: KeyPath
    problems: list[Problem]

    def inside(self, part: str | int) -> FilePlace:
        """Return the place of the key or item `part` in here."""
        return FilePlace(self.source, (*self.path, part), self.problems)

    def report(self, what: str, mend: str, *, at_key: bool = False) -> None:
        """Add a problem at this place."""
        line, column = self.source.place(self.path, value=not at_key)
        self.problems.append(
            Problem(line=line, column=column, key_path=in_words(self.path), what=what, mend=mend)
        )


class ValueKind(ABC, Generic[V_co]):
    """What may be written as a key's value."""

    @abstractmethod
    def read(self, value: object, place: FilePlace) -> V_co:
        """Return `value` as the program wants it, or raise `Misfit`."""

    def write(self, value: Any) -> Any:
        """Return the TOML value that `read` would turn into `value`."""
        return value

    @abstractmethod
    def schema(self) -> dict[str, Any]:
        """Return what `read` accepts, as JSON Schema."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FileKey:
    """How one dataclass field stands in a file."""

    name: str
    kind: ValueKind[object]
    note: str
    field: str
    default: object


class Single(ValueKind[V_co]):
    """A value that has nothing inside it, so that it is right or wrong as a whole."""

    def read(self, value: object, place: FilePlace) -> V_co:  # noqa: ARG002 - only tables and lists look further
        """Return `value` as `accept` has it."""
        return self.accept(value)

    @abstractmethod
    def accept(self, value: object) -> V_co:
        """Return `value` as the program wants it, or raise `Misfit`."""


_META = "key"


def key(default: D, kind: ValueKind[V_co], note: str, *, name: str = "") -> D | V_co:
    """Declare a dataclass field that is read from a file; `name` if the file calls it otherwise."""
    described: D | V_co = dataclasses.field(default=default, metadata={_META: (name, kind, note)})
    return described


def keys_of(cls: type[object]) -> Iterator[FileKey]:
    """Yield the keys of a dataclass declared with `key`, in order."""
    for field in dataclasses.fields(cls):  # type: ignore[arg-type]
        name, kind, note = field.metadata[_META]
        yield FileKey(name=name or field.name, kind=kind, note=note, field=field.name, default=field.default)


def read_table(cls: type[T], data: object, place: FilePlace, *, usual: T | None = None) -> T:
    """Return `data`, a TOML table, as a `cls`; what cannot be used is reported and left at its default.

    Where `usual` is given, what the table leaves out is as in there.
    """
    if not isinstance(data, dict):
        raise Misfit(
            "this needs named values.", f"Write it as a heading, [{in_toml(place.path)}], with keys below."
        )
    keys = {each.name: each for each in keys_of(cls)}
    values: dict[str, object] = {}
    for name, value in data.items():
        inside = place.inside(name)
        if name not in keys:
            inside.report("there is no such key.", suggestion(name, keys), at_key=True)
            continue
        try:
            values[keys[name].field] = keys[name].kind.read(value, inside)
        except Misfit as misfit:
            inside.report(misfit.what, misfit.mend)
    return cls(**values) if usual is None else dataclasses.replace(usual, **values)  # type: ignore[type-var]


def read_source(cls: type[T], source: TomlSource) -> tuple[T, FilePlace]:
    """Read a whole file; the place returned takes further problems, and `finish` raises them."""
    place = FilePlace(source, (), [])
    return read_table(cls, source.data, place), place


def finish(place: FilePlace) -> None:
    """Raise `ScriptProblems` with all that was reported, if anything was."""
    if place.problems:
        raise ScriptProblems(place.source.name, place.problems)


def suggestion(written: str, known: Iterable[str]) -> str:
    """Return "Did you mean ...?" for the nearest of the `known` names, or the list of them."""
    known = list(known)
    near = nearest(written.lower(), known)
    if near:
        return f"Did you mean {near}?"
    return f"Take it out, or use one of {', '.join(known)}." if len(known) <= 30 else "Check the spelling."


def nearest(written: str, known: Iterable[str]) -> str | None:
    """Return the nearest of the `known` names, as one slip of the finger leaves them; None where none is."""
    matcher = SequenceMatcher(autojunk=False)
    matcher.set_seq2(written[:_LONGEST_NAME])  # of which it keeps what it works out, for all the others
    best, alike = None, _NEAR_ENOUGH
    for name in known:
        matcher.set_seq1(name)
        if (ratio := matcher.ratio()) > alike or (best is None and ratio == alike):
            best, alike = name, ratio
    return best


def in_words(path: KeyPath) -> str:
    """Return a key path as a teacher says it: ("round", 2, "time") is "round 3, time"."""
    words: list[str] = []
    for part in path:
        if isinstance(part, int):
            words[-1] = f"{words[-1]} {part + 1}"
        else:
            words.append(shortened(part))
    return ", ".join(words)


def in_toml(path: KeyPath) -> str:
    """Return a key path as a heading has it: ("round", 2, "voice") is "round.voice"."""
    return ".".join(shortened(part) for part in path if isinstance(part, str))


def shortened(text: str, limit: int = 40) -> str:
    """Return `text` on one line, cut to `limit` characters."""
    line = " ".join(text.split())
    return line if len(line) <= limit else line[: limit - 1] + "…"

"""Random lessons, built from the same table of keys that reads them."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from caller.clock import ClockTime, DayTime
from caller.lesson import AnyTime, Time
from caller.scripts.kinds import FileName, Flag, Known, ListOf, Number, OneOf, TableOf, TablesOf, Text, Whole
from caller.scripts.tables import ValueKind, keys_of

CLOCK_TIMES = st.builds(ClockTime, st.integers(1, 12), st.integers(0, 59))
DAY_TIMES = st.builds(DayTime, st.integers(0, 23), st.integers(0, 59))
_WORDS = st.text(
    st.characters(
        exclude_categories=["Cs", "Cc", "Cf", "Co", "Zs", "Zl", "Zp", "Cn"], exclude_characters="<>[]{}\\"
    ),
    min_size=1,
    max_size=30,
)


def values(kind: ValueKind[Any]) -> st.SearchStrategy[Any]:
    """Return values that may stand under a key of this kind."""
    match kind:
        case Text():
            return _WORDS
        case Whole():
            return st.integers(kind.least, kind.most)
        case Number():
            return st.floats(kind.least, kind.most)
        case Flag():
            return st.booleans()
        case OneOf():
            return st.sampled_from(kind.words)
        case Known():
            return st.sampled_from(sorted(kind.names()))
        case FileName():
            return st.just("hall.toml")
        case Time():
            return CLOCK_TIMES
        case AnyTime():
            return CLOCK_TIMES | DAY_TIMES
        case ListOf():
            return st.lists(values(kind.item), max_size=kind.most).map(tuple)
        case TableOf():
            return tables(kind.cls)
        case TablesOf():
            return st.lists(tables(kind.cls), min_size=1, max_size=3).map(tuple)
    raise AssertionError(kind)


def tables(cls: type[Any]) -> st.SearchStrategy[Any]:
    """Return tables with some keys set and the others at their defaults."""
    return st.fixed_dictionaries({}, optional={key.field: values(key.kind) for key in keys_of(cls)}).map(
        lambda chosen: cls(**chosen)
    )

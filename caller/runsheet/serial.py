"""A run sheet as plain JSON data, and back.

Values equal to their default are left out, so the data stays short; a cue names its kind under
"shows". The text made by `as_json` is the same, byte for byte, for the same run sheet.
"""

from __future__ import annotations

import dataclasses
import json
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, Union, cast, get_args, get_origin, get_type_hints

from caller.clock.cues import Cue
from caller.clock.times import ClockTime, DayTime
from caller.runsheet.model import RunSheet

_CUES = {cue.__name__: cue for cue in get_args(Cue)}
_SHOWS = "shows"


def as_dict(run_sheet: RunSheet) -> dict[str, Any]:
    """Return the run sheet as dictionaries, lists, words and numbers."""
    return cast(dict[str, Any], _plain(run_sheet))


def from_dict(data: dict[str, Any]) -> RunSheet:
    """Return the run sheet that `as_dict` made `data` from.

    Raises
    ------
    ValueError
        If `data` is not such a run sheet.
    """
    try:
        return cast(RunSheet, _read(RunSheet, data))
    except (KeyError, TypeError, AttributeError) as error:
        raise ValueError(f"This is not a run sheet: {error!r}.") from error


def as_json(run_sheet: RunSheet) -> str:
    """Return the run sheet as JSON text, ending in a line end."""
    return json.dumps(as_dict(run_sheet), ensure_ascii=False, indent=1) + "\n"


def _plain(value: object) -> Any:
    if isinstance(value, ClockTime | DayTime):
        return str(value)
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        kind = {_SHOWS: type(value).__name__} if type(value) in _CUES.values() else {}
        return kind | {
            field.name: _plain(content)
            for field in dataclasses.fields(value)
            if (content := getattr(value, field.name)) != field.default
        }
    return value


def _read(wanted: Any, data: Any) -> Any:
    origin, options = get_origin(wanted), get_args(wanted)
    if origin in (Union, UnionType):
        if data is None and NoneType in options:
            return None
        if isinstance(data, dict) and _SHOWS in data:
            return _read(_CUES[data[_SHOWS]], {name: each for name, each in data.items() if name != _SHOWS})
        (wanted,) = (option for option in options if option is not NoneType)
        return _read(wanted, data)
    if wanted in (ClockTime, DayTime):
        return wanted.parse(data)
    if origin is tuple:
        return tuple(_read(options[0], each) for each in _checked(list, data))
    if origin is frozenset:
        return frozenset(_read(options[0], each) for each in _checked(list, data))
    if origin is Literal:
        if data not in options:
            raise ValueError(f"This is not a run sheet: {data!r} is none of {options}.")
        return data
    if dataclasses.is_dataclass(wanted):
        hints = _hints(cast(type, wanted))
        return cast(type, wanted)(**{name: _read(hints[name], each) for name, each in data.items()})
    if wanted is float and type(data) is int:
        return float(data)
    return _checked(wanted, data)


def _checked(wanted: type, data: Any) -> Any:
    if type(data) is not wanted:
        raise ValueError(f"This is not a run sheet: {data!r} is not a {wanted.__name__}.")
    return data


@cache
def _hints(cls: type) -> dict[str, Any]:
    return get_type_hints(cls)

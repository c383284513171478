"""A run sheet in plain forms: as JSON data and back, and as a table to read.

Values equal to their default are left out, so the data stays short; a cue names its kind under
"shows". The text made by `as_json` is the same, byte for byte, for the same run sheet.
"""

from __future__ import annotations

import dataclasses
import json
import textwrap
from collections.abc import Sequence
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, Union, cast, get_args, get_origin, get_type_hints

from caller.clock import ClockTime, DayTime
from caller.clock.said_and_shown import Cue
from caller.runsheet import Call, RunSheet

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
    return json.dumps(as_dict(run_sheet), ensure_ascii=False, separators=(",", ":")) + "\n"


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


_WORDS_WIDTH = 76


def as_table(run_sheet: RunSheet, starts_s: Sequence[float]) -> str:
    """Return one row for each call: start, number, call, round, words; `starts_s` is in seconds.

    Raises
    ------
    ValueError
        If there is not a start for every call (an end after the last is allowed).
    """
    calls = run_sheet.calls
    if len(starts_s) not in (len(calls), len(calls) + 1):
        raise ValueError(f"{len(calls)} calls need as many starts, not {len(starts_s)}.")
    rows = [("Start", "No.", "Call", "Round", "Words")]
    for call, start_s in zip(calls, starts_s, strict=False):
        rows += _rows(call, start_s)
    start, number, call_, round_ = (max(len(row[column]) for row in rows) for column in range(4))
    lines = [
        f"{row[0]:>{start}}  {row[1]:>{number}}  {row[2]:<{call_}}  {row[3]:<{round_}}  {row[4]}".rstrip()
        for row in rows
    ]
    title = ", ".join(words for words in (run_sheet.title, run_sheet.class_name) if words)
    if len(starts_s) > len(calls):
        lines.append(f"{clock(starts_s[-1]):>{start}}  end")
    return "\n".join([title, *lines] if title else lines) + "\n"


def call_in_words(call: Call, start_s: float) -> str:
    """Return one call as lines to be read aloud from: when it starts, what it is, and its words."""
    rows = _rows(call, start_s)
    return "\n".join(f"{row[0]:>5}  {row[2]:<9}  {row[4]}".rstrip() for row in rows)


def clock(seconds: float) -> str:
    """Return a length of time as minutes and seconds, to the nearest second: "4:07"."""
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02d}"


def _rows(call: Call, start_s: float) -> list[tuple[str, str, str, str, str]]:
    words = " ".join(line.written for line in call.lines if line.written)
    if call.countdown is not None:
        words += f" [{call.countdown.seconds} s to {call.kind}]"
    if call.board.lanes and call.kind == "choices":
        # The screen's own words, for a teacher who leads the lesson from this table.
        words += (
            " ["
            + " | ".join(f"{lane.side}: {lane.numeral} {lane.move_name}" for lane in call.board.lanes)
            + "]"
        )
    wrapped = textwrap.wrap(words, _WORDS_WIDTH) or [""]
    part = str(call.round) if call.round is not None else call.part
    first = (clock(start_s), str(call.number), call.kind, part, wrapped[0])
    return [first, *(("", "", "", "", more) for more in wrapped[1:])]

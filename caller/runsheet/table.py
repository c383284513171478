"""A run sheet as a table to read: when each call starts, what it is, and its words."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from caller.runsheet.model import Call, RunSheet

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

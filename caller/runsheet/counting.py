"""Asking how many by their claps: each side's three claps on a beat, in windows where nobody else is heard.

The side's name comes first, then a tick, then three claps of the side that is asked, and then a beat for the
room to fall quiet, all at one pace: three seconds a side. The microphone listens in those windows only
(`caller.hall.claps`). It is asked after the moves and before the answer, so that nobody is shown up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import count
from typing import Final

from caller.deciding import Side
from caller.hall.claps import CLAP_S, CLAPS, LATE_S
from caller.languages.phrases import phrases
from caller.runsheet import Board, Call, CallKind, Line, RunSheet
from caller.runsheet.talk import plain_line

FALLING_S: Final = 1.2
"""After the whole class so long is left for the room to fall quiet: how fast it does is listened to."""

_AFTER_S: Final = LATE_S + 0.1
_BREATH_S, _PAUSE_S = 0.5, 0.3
_STILL: Final[frozenset[CallKind]] = frozenset({"welcome", "breath", "close"})
"""While these are heard the figure rests: so it does while everybody claps."""

_BREATHING: Final = "slow-breaths"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClapWindow:
    """Where in a call one group claps: the line of its first clap, and whose it is; None is everybody."""

    side: Side | None
    line: int


def windows(call: Call) -> tuple[ClapWindow, ...]:
    """Return the groups that a call asks for claps, in order; none for other calls."""
    if call.kind != "claps":
        return ()
    return tuple(
        ClapWindow(side=line.point_to, line=place) for place, line in enumerate(call.lines) if line.count == 1
    )


def with_claps(
    calls: Sequence[Call], said: Callable[[str], Line], *, number_from: int = 0
) -> tuple[Call, ...]:
    """Return `calls` with claps asked for: everybody's before the first clock, each side's before the answer.

    The practice clock is not counted, nor one that is taught again: the record keeps the first try. The first
    time the words are whole sentences; after it each side's name is enough, on the beat that the claps go on.

    Parameters
    ----------
    said
        Gives the sentence of this name as a line without a pause.
    number_from
        What is put in is numbered from here, and all else keeps its numbers; at 0 all are numbered anew.
    """
    breath_s = next(
        (line.breath_s for call in calls for line in call.lines if line.tone == "attention"), _BREATH_S
    )
    asked_of = [place for place, call in enumerate(calls) if _is_counted(call)]
    if not asked_of:
        return tuple(calls)
    before = next(place for place, call in enumerate(calls) if _begins(call))
    stands = next((call.board.move for call in calls if call.kind in _STILL and call.board.move), _BREATHING)
    found: list[Call] = []
    for place, call in enumerate(calls):
        if place == before:
            asked = replace(said("claps.everybody"), tone="attention", breath_s=breath_s, pause_s=_PAUSE_S)
            lines = (asked, *_claps(None, after_s=FALLING_S))
            resting = Board(layout="figure", move=stands, numerals=call.board.numerals)
            found.append(Call(number=0, kind="claps", part="opening", round=None, lines=lines, board=resting))
        found.append(call)
        if place in asked_of:
            sides = tuple(_sides_lines(said, call.board, full=place == asked_of[0]))
            found.append(replace(call, number=0, kind="claps", lines=sides, countdown=None, hold_s=0.0))
    if number_from == 0:
        return tuple(replace(call, number=number) for number, call in enumerate(found, start=1))
    new = count(number_from)
    return tuple(call if call.number else replace(call, number=next(new)) for call in found)


def from_the_next_clock(
    calls: Sequence[Call], here: int, language: str, *, number_from: int
) -> tuple[int, tuple[Call, ...]] | None:
    """Return from which place on `calls` change, and to what: clocks to come are counted, or no longer.

    None where no clock is left that could be. What is asked and heard at place `here` stays as it is; the
    other parameters are those of `with_claps`.
    """
    now = (calls[here].part, calls[here].round)
    rest = next(
        (at for at in range(here, len(calls)) if (calls[at].part, calls[at].round) != now), len(calls)
    )
    to_come = calls[rest:]
    without = tuple(call for call in to_come if call.kind != "claps")
    if len(without) < len(to_come):
        return rest, without
    asked = with_claps(to_come, partial(plain_line, phrases(language)), number_from=number_from)
    return (rest, asked) if len(asked) > len(to_come) else None


def _is_counted(call: Call) -> bool:
    return call.kind == "time-up" and bool(call.board.lanes) and call.part in ("round", "calm")


def _begins(call: Call) -> bool:
    """Tell whether the class is on its feet from this call on: the warm-up, or what follows the opening."""
    return call.kind == "warm-up" or call.part != "opening"


def _sides_lines(said: Callable[[str], Line], board: Board, *, full: bool) -> Iterator[Line]:
    for lane in board.lanes:
        if full:
            yield replace(said(f"claps.{lane.side}"), point_to=lane.side, pause_s=_PAUSE_S)
        else:
            yield replace(said(f"claps.again-{lane.side}"), point_to=lane.side, slot_s=CLAP_S)
        yield from _claps(lane.side, after_s=_AFTER_S)


def without_claps(run_sheet: RunSheet) -> RunSheet:
    """Return the run sheet for where nobody listens, such as a video: no claps are asked for."""
    kept = [call for call in run_sheet.calls if call.kind != "claps"]
    if len(kept) == len(run_sheet.calls):
        return run_sheet
    return replace(run_sheet, calls=tuple(replace(call, number=place) for place, call in enumerate(kept, 1)))


def _claps(side: Side | None, *, after_s: float) -> Sequence[Line]:
    """Return a tick that gives the beat, three beats to clap on, and the quiet after them."""
    tick = Line(written="", tone="tick", slot_s=CLAP_S, point_to=side)
    beats = (
        Line(written="", count=number, slot_s=CLAP_S, point_to=side, doing="clap")
        for number in range(1, CLAPS + 1)
    )
    return (tick, *beats, Line(written="", pause_s=after_s, doing="still"))

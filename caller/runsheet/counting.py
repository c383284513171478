"""Asking how many by their claps: each side's three claps on a beat, in windows where nobody else is heard.

The words come first, then a tick, then three claps of the side that is asked, and then a moment for the
room to fall quiet: the microphone listens in those windows only (`caller.hall.claps`). It is asked after
the moves and before the answer, so that nobody is shown up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from caller.deciding import DecidedRound, Side
from caller.hall.claps import CLAP_S, CLAPS, LATE_S
from caller.runsheet import Board, Call, Draft, Line, RunSheet
from caller.runsheet.talk import SHORT_PAUSE, Setting

FALLING_S: Final = 1.2
"""After the whole class so long is left for the room to fall quiet: how fast it does is listened to."""

_AFTER_S: Final = LATE_S + 0.1


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


def whole_class(setting: Setting) -> Iterator[Draft]:
    """Yield the call that has everybody clap once, to compare with; nothing where nobody counts by ear."""
    if not setting.lesson.count_by_ear:
        return
    talk = setting.talk
    asked = talk.with_tone(talk.line("claps.everybody", pause=SHORT_PAUSE))
    lines = (asked, *_claps(None, after_s=FALLING_S))
    yield Draft(kind="claps", part="opening", lines=lines, board=setting.resting())


def sides_clap(setting: Setting, about: DecidedRound, board: Board) -> Iterator[Draft]:
    """Yield the call that has one side after the other clap; nothing where this round is not counted.

    The practice clock is not, nor one that is taught again: the record keeps the first try.
    """
    if not (setting.lesson.count_by_ear and board.lanes and about.part in ("round", "calm")):
        return
    lines: list[Line] = []
    for lane in board.lanes:
        key = f"claps.{lane.side}" if about.full else f"claps.again-{lane.side}"
        lines.append(setting.talk.line(key, pause=SHORT_PAUSE, point_to=lane.side))
        lines += _claps(lane.side, after_s=_AFTER_S)
    yield Draft(kind="claps", part=about.part, lines=tuple(lines), board=board)


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

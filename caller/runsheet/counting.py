"""Asking how many by their claps: each side's three claps on a beat, in windows where nobody else is heard.

The words come first, then a tick, then three claps of the side that is asked, and then a moment for the
room to fall quiet: the microphone listens in those windows only (`caller.hall.claps`). It is asked after
the moves and before the answer, so that nobody is shown up.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from caller.deciding import DecidedLesson, Side
from caller.hall.claps import CLAP_S, CLAPS, LATE_S
from caller.runsheet import Call, Line, RunSheet
from caller.runsheet.sayings import SHORT_PAUSE, Draft, Saying, Shown, called, say

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


def with_claps(decided: DecidedLesson, drafts: Iterable[Draft]) -> Iterator[Draft]:
    """Yield the calls, with those between them that count the class by ear, where the lesson wants it.

    Everybody claps once before the first move, to compare with. Then one side after the other claps where the
    time of a round is up; the practice clock is not counted, as the record keeps the first try of each round.
    """
    wanted = decided.lesson.count_by_ear
    welcomed = False
    for draft in drafts:
        if wanted and not welcomed and draft.kind not in ("welcome", "safety"):
            welcomed = True
            yield _whole_class(decided)
        yield draft
        if wanted and draft.kind == "time-up" and draft.board.lanes and draft.part in ("round", "calm"):
            yield _sides_clap(draft)


def _whole_class(decided: DecidedLesson) -> Draft:
    asked = called((say("claps.everybody", pause=SHORT_PAUSE),))
    return Draft(
        kind="claps",
        part="opening",
        sayings=(*asked, *_claps(None, after_s=FALLING_S)),
        board=Shown(layout="figure", move=decided.resting),
    )


def _sides_clap(time_up: Draft) -> Draft:
    """Return the call that has one side after the other clap; in full words the first time."""
    sayings: list[Saying | Line] = []
    for lane in time_up.board.lanes:
        key = f"claps.{lane.side}" if time_up.round == 1 else f"claps.again-{lane.side}"
        sayings.append(say(key, pause=SHORT_PAUSE, point_to=lane.side))
        sayings += _claps(lane.side, after_s=_AFTER_S)
    return replace(time_up, kind="claps", sayings=tuple(sayings))


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

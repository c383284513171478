"""Calls as they are made, before they are numbered."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from caller.clock.spoken import Numerals
from caller.deciding.model import LessonPart
from caller.runsheet.model import Beat, Board, Call, CallKind, Countdown, FiguresDo, Line


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A call without its number."""

    kind: CallKind
    part: LessonPart
    round: int | None = None
    lines: tuple[Line, ...]
    board: Board
    countdown: Countdown | None = None
    hold_s: float = 0.0
    beat: Beat | None = None
    doing: FiguresDo | None = None


def numbered(drafts: Iterable[Draft], numerals: Numerals = "arabic") -> tuple[Call, ...]:
    """Return the calls, numbered from 1, with these numerals on all their dials."""
    return tuple(
        Call(
            number=number,
            kind=draft.kind,
            part=draft.part,
            round=draft.round,
            lines=draft.lines,
            board=replace(draft.board, numerals=numerals),
            countdown=draft.countdown,
            hold_s=draft.hold_s,
            beat=draft.beat,
            doing=draft.doing,
        )
        for number, draft in enumerate(drafts, start=1)
    )

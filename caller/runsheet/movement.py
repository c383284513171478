"""What the class is asked to do in each kind of call, and so what the figures do.

For a child who cannot read yet the picture is the instruction: a figure that goes on jumping through
"Stand still" teaches jumping.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from caller.deciding.circumstances import Streams
from caller.lesson import Lesson
from caller.moves import catalogue
from caller.moves.poses import shared_bpm
from caller.runsheet import Beat, Board, Call, CallKind, Character, FiguresDo

FIGURES_DO: Final[Mapping[CallKind, FiguresDo]] = MappingProxyType(
    {
        "sound-check": "still",
        "welcome": "still",
        "safety": "still",
        "warm-up": "move",
        "ready": "still",
        "question": "still",
        "choices": "show",
        "decide": "still",
        "move": "move",
        "time-up": "still",
        "claps": "still",
        "answer": "still",
        "reason": "still",
        "catch-up": "move",
        "breath": "rest",
        "close": "still",
    }
)
"""What a kind of call asks for where neither the call nor its line says otherwise."""

_QUIET: Final = frozenset({"stretch", "balance"})
_PATTERNS: Final = 1000


def figures_do(call: Call, line: int | None = None) -> FiguresDo:
    """Return what the figures do in `call` once its line of this index is being said; None: before any.

    A line's own word holds until another line has one.
    """
    if line is not None:
        for said in reversed(call.lines[: line + 1]):
            if said.doing is not None:
                return said.doing
    return FIGURES_DO[call.kind] if call.doing is None else call.doing


def moves_on(board: Board) -> tuple[str, ...]:
    """Return the moves that a board's figures do, as slugs; none where one makes a time with its arms."""
    if board.lanes:
        return tuple(lane.move for lane in board.lanes if lane.move)
    return (board.move,) if board.move and board.arms is None else ()


def with_beats(lesson: Lesson, calls: Iterable[Call]) -> tuple[Call, ...]:
    """Return the calls, each that asks for moves with a beat to do them on, unless the lesson wants none.

    A round keeps its pattern, so that what is moved to stays known from think time to catch-up.
    """
    return tuple(_with_beats(calls, Streams(lesson.seed)) if lesson.beat else calls)


def _with_beats(calls: Iterable[Call], streams: Streams) -> Iterator[Call]:
    for call in calls:
        moves = moves_on(call.board)
        if call.beat is not None or figures_do(call) != "move" or not moves:
            yield call
            continue
        pattern = streams.of("beat", call.round or 0).randrange(_PATTERNS)
        beat = Beat(bpm=shared_bpm(moves), character=_character(call, moves), pattern=pattern)
        yield replace(call, beat=beat)


def _character(call: Call, moves: Iterable[str]) -> Character:
    """Return calm for calm rounds, and where all that is done is stretching or balancing."""
    quiet = all(catalogue()[slug].hold or catalogue()[slug].kind in _QUIET for slug in moves)
    return "calm" if quiet or call.part == "calm" else "lively"

"""The catch-up after an answer: the same for everyone, short, on an even beat."""

from __future__ import annotations

from collections.abc import Iterator

from caller.clock.times import ClockTime
from caller.deciding.model import LessonPart
from caller.moves.catalogue import find
from caller.moves.catchup import CatchUp
from caller.runsheet.draft import Draft
from caller.runsheet.model import Board, Dial, Line
from caller.runsheet.setting import Setting
from caller.runsheet.talk import move_call, part

_ARMS_S = 3.0
_HOLD_COUNT = 5


def catch_up_calls(
    setting: Setting, plan: CatchUp, time: ClockTime, *, section: LessonPart
) -> Iterator[Draft]:
    """Yield the catch-up after the answer `time`; nothing for "none"."""
    for lines, board, hold_s in _steps(setting, plan, time):
        yield Draft(kind="catch-up", part=section, lines=lines, board=board, hold_s=hold_s)


def _steps(
    setting: Setting, plan: CatchUp, time: ClockTime
) -> Iterator[tuple[tuple[Line, ...], Board, float]]:
    talk = setting.talk
    if plan.kind == "practise":
        lines = tuple(talk.line(key) for key in plan.sentences)
        yield lines, Board(layout="clock", dials=(Dial(time=time),)), plan.seconds
        return
    if plan.arms:
        lines = (talk.line("catch-up.everyone"), talk.line("catch-up.arms", time=talk.time(time)))
        yield lines, Board(layout="figure", dials=(Dial(time=time),), arms=time), _ARMS_S
    if plan.move is None:
        return
    move = find(plan.move)
    opening = () if plan.arms else (talk.line("catch-up.calm"),)
    if move.hold:
        asked = talk.line("catch-up.hold", call=move_call(move))
        beat_s, count = 1.0, _HOLD_COUNT
    else:
        asked = talk.line("catch-up.reps", call=move_call(move), times=part(f"times.{plan.reps}"))
        beat_s, count = 1.0 / move.tempo_hz, plan.reps
    board = Board(layout="figure", dials=(Dial(time=time),), move=move.slug, move_name=setting.name(move))
    yield (*opening, asked, *counted(setting, count, beat_s)), board, 0.5


def counted(setting: Setting, count: int, beat_s: float) -> tuple[Line, ...]:
    """Return a count from one, each number taking exactly `beat_s`."""
    language = setting.talk.first
    return tuple(
        Line(
            written=str(number),
            speech=language.language.number(number),
            language=language.code,
            pause_s=0.0,
            slot_s=beat_s,
            count=number,
        )
        for number in range(1, count + 1)
    )

"""The catch-up after an answer: a bout of the whole class, or another look, or slow breaths."""

from __future__ import annotations

from collections.abc import Iterator

from caller.deciding.model import DecidedRound
from caller.runsheet.draft import Draft
from caller.runsheet.model import Board, Dial
from caller.runsheet.setting import Setting
from caller.runsheet.talk import SHORT_PAUSE, begun_move_name, move_call, move_name

_ARMS_S = 2.0
_LOOK = ("catch-up.look-again", "catch-up.trace", "catch-up.nobody-has-to")


def catch_up_calls(setting: Setting, about: DecidedRound) -> Iterator[Draft]:
    """Yield the catch-up of a round; nothing where it has none."""
    plan, talk, time = about.catch_up, setting.talk, about.question.dial
    if plan is None or plan.kind == "none":
        return
    dial = (Dial(time=time),)
    if plan.kind == "practise":
        yield Draft(
            kind="catch-up",
            part=about.part,
            lines=tuple(talk.line(key) for key in _LOOK),
            board=Board(layout="clock", dials=dial),
            hold_s=float(plan.seconds),
            doing="still",
        )
        return
    if plan.arms:
        yield Draft(
            kind="catch-up",
            part=about.part,
            lines=(talk.line("catch-up.arms", time=talk.time(time)),),
            board=Board(layout="figure", dials=dial, arms=time),
            hold_s=_ARMS_S,
        )
    if plan.move is None:
        return
    board = Board(layout="figure", dials=dial, move=plan.move.slug, move_name=setting.name(plan.move))
    # Its call has just been heard, and the figure does it.
    key, name = "catch-up.bout", move_name(plan.move)
    if plan.move.hold:
        key, name = "catch-up.hold", begun_move_name(plan.move)
    if plan.kind == "calm":
        key, name = "catch-up.calm-bout", move_call(plan.move)
    yield Draft(
        kind="catch-up",
        part=about.part,
        lines=(talk.line(key, call=name, pause=SHORT_PAUSE),),
        board=board,
        hold_s=float(plan.seconds),
        doing="breathe" if plan.kind == "calm" else None,
    )

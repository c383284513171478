"""From a run sheet and its real lengths to what a child does when, so that the dose can be reckoned."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

from caller.moves.catalogue import find
from caller.moves.dose import Dose, Spell, dose
from caller.runsheet.model import Call
from caller.timeline.layout import CallLayout, LineSpan, seconds_of

Doing = Literal["gentler", "harder"]

_AGE_FOR_EFFORT_Y = 7.0
# The share of active time depends on neither; energy does, and is not told here.
_MASS_KG = 25.0


def lesson_dose(layouts: Iterable[CallLayout], *, age_y: float, doing: Doing = "gentler") -> Dose:
    """Return the dose of a lesson for one child who always does the gentler (or the harder) choice.

    Raises
    ------
    NotFoundError
        A move is not in the catalogue.
    """
    return dose(tuple(spells(layouts, doing=doing)), age_y=age_y, mass_kg=_MASS_KG, sex="girl")


def spells(layouts: Iterable[CallLayout], *, doing: Doing = "gentler") -> Iterator[Spell]:
    """Yield what the class does, in order; together they last as long as the calls.

    Listening and deciding count as standing; only a call that asks for movement counts as movement. Making a
    time with the arms counts as standing too, since no table has a row for it.
    """
    for layout in layouts:
        for spell in _of_call(layout, doing):
            if spell.seconds > 0:
                yield spell


def _of_call(layout: CallLayout, doing: Doing) -> Iterator[Spell]:
    call = layout.call
    for span in layout.spans:
        seconds = seconds_of(span.end - span.start)
        move = _move_during(call, span)
        yield _listening(seconds) if move is None else Spell(kind="move", move=move, seconds=seconds)
    if call.countdown is not None:
        yield _counted_down(call, seconds_of(layout.countdown_end - layout.countdown_start), doing)
    rest_s = seconds_of(layout.length - layout.countdown_end)
    if call.kind in {"warm-up", "breath"} and call.board.move is not None:
        yield Spell(kind="move", move=call.board.move, seconds=rest_s)
    else:
        yield _listening(rest_s)


def _move_during(call: Call, span: LineSpan) -> str | None:
    """Return the move done while a line sounds: counted repetitions, and slow breaths on a beat."""
    on_beat = span.line.count is not None or (call.kind == "close" and span.line.slot_s is not None)
    return call.board.move if on_beat else None


def _counted_down(call: Call, seconds: float, doing: Doing) -> Spell:
    moves = [lane.move for lane in call.board.lanes]
    if call.kind != "move" or not moves:
        return Spell(kind="think", seconds=seconds)
    choose = min if doing == "gentler" else max
    move = choose(moves, key=lambda slug: (find(slug).effort.met(_AGE_FOR_EFFORT_Y), find(slug).jumps))
    return Spell(kind="move", move=move, seconds=seconds)


def _listening(seconds: float) -> Spell:
    return Spell(kind="listen", seconds=seconds)

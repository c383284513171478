"""From a run sheet and its real lengths to what a child does when: the dose, and how active the lesson is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from caller.moves import find
from caller.moves.dose import GUIDELINE_SHARE, Dose, Spell, dose
from caller.runsheet import Call, CallKind
from caller.timeline import CallLayout, seconds_of

ChildDoing = Literal["gentler", "harder"]

DONE_SHARE: Final = 0.85
"""Of the children asked to move so many do: observed in breaks led in grades 3 to 6 (Beemer et al. 2018,
Transl J
ACSM 3:136, abstract)."""
BEYOND_SHARE: Final = round(GUIDELINE_SHARE / DONE_SHARE, 2)
"""Asked for so large a share of the time, a class really moves for half of it."""

_MASS_KG: Final = 25.0  # the share of active time does not depend on it; energy does, and is not told here

_PARTS: Final[Mapping[CallKind, str]] = MappingProxyType(
    {
        "welcome": "the welcome",
        "safety": "the safety points",
        "warm-up": "calling the warm-up",
        "ready": "asking",
        "question": "asking",
        "choices": "asking",
        "decide": "deciding",
        "move": "the moves",
        "time-up": "answers and reasons",
        "claps": "counting by ear",
        "answer": "answers and reasons",
        "reason": "answers and reasons",
        "catch-up": "the catch-ups",
        "breath": "breaths",
        "close": "the close",
    }
)


def lesson_dose(layouts: Iterable[CallLayout], *, age_y: float, doing: ChildDoing = "gentler") -> Dose:
    """Return the dose of a lesson for one child who always does the gentler (or the harder) choice.

    Raises
    ------
    NotFoundError
        A move is not in the catalogue.
    """
    return dose(tuple(spells(layouts, age_y=age_y, doing=doing)), age_y=age_y, mass_kg=_MASS_KG, sex="girl")


def spells(
    layouts: Iterable[CallLayout], *, age_y: float = 7.0, doing: ChildDoing = "gentler"
) -> Iterator[Spell]:
    """Yield what the class does, in order; together they last as long as the calls.

    Only time in which a call asks for movement counts as movement: the bout after "Go!", the warm-up and the
    catch-up after their words, slow breaths on their beat. Making a time with the arms counts as standing,
    since no table has a row for it.
    """
    for layout in layouts:
        for spell in _of_call(layout, age_y, doing):
            if spell.seconds > 0:
                yield spell


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """How active a lesson is.

    Attributes
    ----------
    share, seconds
        Time that calls for moderate or vigorous movement.
    likely_share
        What a class will likely do of it.
    clocks_per_min
        Clocks asked for, in a minute of the lesson.
    costs_s
        Seconds without such movement by part of the lesson, the dearest first.
    """

    share: float
    seconds: float
    likely_share: float
    clocks_per_min: float
    costs_s: Mapping[str, float]


def activity_of(layouts: Sequence[CallLayout], found: Dose, clocks: int, *, age_y: float) -> Activity:
    """Return how active a lesson is whose dose has been found."""
    costs: dict[str, float] = {}
    for layout in layouts:
        done = dose(
            tuple(spells([layout], age_y=age_y)) or (Spell(kind="listen", seconds=0.0),),
            age_y=age_y,
            mass_kg=_MASS_KG,
            sex="girl",
        )
        call = layout.call
        part = "the example" if call.part == "example" else _PARTS.get(call.kind, "the rest")
        costs[part] = costs.get(part, 0.0) + done.total_s - done.mvpa_s
    return Activity(
        share=found.mvpa_share,
        seconds=found.mvpa_s,
        likely_share=DONE_SHARE * found.mvpa_share,
        clocks_per_min=60.0 * clocks / found.total_s if found.total_s else 0.0,
        costs_s=MappingProxyType(dict(sorted(costs.items(), key=lambda cost: -cost[1]))),
    )


def _of_call(layout: CallLayout, age_y: float, doing: ChildDoing) -> Iterator[Spell]:
    call = layout.call
    for span in layout.spans:
        seconds = seconds_of(span.end - span.start)
        breathing = call.kind == "close" and span.line.slot_s is not None
        yield _moving(call.board.move, seconds) if breathing else _listening(seconds)
    counted_s = seconds_of(layout.countdown_end - layout.countdown_start)
    bpm = call.beat.bpm if call.beat is not None else None
    yield _moving(_chosen(call, age_y, doing) if call.kind == "move" else None, counted_s, bpm)
    rest_s = seconds_of(layout.length - layout.countdown_end)
    yield _moving(call.board.move if call.kind in {"warm-up", "catch-up"} else None, rest_s, bpm)


def _chosen(call: Call, age_y: float, doing: ChildDoing) -> str | None:
    choose = min if doing == "gentler" else max
    moves = [lane.move for lane in call.board.lanes]
    return choose(
        moves, key=lambda slug: (find(slug).effort.met(age_y), find(slug).jumps), default=call.board.move
    )


def _moving(move: str | None, seconds: float, bpm: float | None = None) -> Spell:
    """Return a spell of a move, with what is done of it on a beat of another pace than its own."""
    if move is None:
        return _listening(seconds)
    reps = None if bpm is None else seconds * bpm / 60.0 / find(move).beats
    return Spell(kind="move", move=move, seconds=seconds, reps=reps)


def _listening(seconds: float) -> Spell:
    return Spell(kind="listen", seconds=seconds)

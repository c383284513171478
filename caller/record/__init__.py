"""What is remembered of a class: lessons run, rounds, what was offered, and how many had it. No pupils."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from caller.clock import ClockTime

Judgement = Literal["most", "half", "few"]

USUAL_PRESENT = 25
"""How many children are taken to be there where nobody says so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """What a teacher told after an answer: a judgement at a glance, or a count of those who missed it."""

    judgement: Judgement | None = None
    missed: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """A wrong reading that was offered, with the set of all mix-ups that explain it."""

    time: ClockTime
    mixups: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundKept:
    """One round as the record holds it.

    Attributes
    ----------
    at_s
        When the answer was given, in seconds since 1970 (UTC).
    part
        "round", "calm" (the last one) or "reteach" (the same mix-up offered again).
    step
        The lesson's step; the clock itself may be an easier one.
    wrong
        The wrong readings offered, from left to right, each with its mix-ups; with two choices, what a child
        who missed it chose.
    answer
        The side on which the right reading stood.
    heard
        What was counted by ear: how likely it is that 0, 1, … all children had it. A teacher's tally
        counts for more.
    """

    number: int
    part: str
    at_s: float
    question: str
    step: str
    time: ClockTime
    wrong: tuple[Offered, ...]
    answer: str = ""
    tally: Tally | None = None
    heard: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonKept:
    """One lesson as the record holds it; `ended_s` is None while it runs, and after a power cut."""

    number: int
    class_name: str
    title: str
    began_s: float
    ended_s: float | None
    ending: str
    planned_s: float | None
    stand_in: bool
    present: int = USUAL_PRESENT
    rounds: tuple[RoundKept, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfinished:
    """A lesson that was cut off: what is needed to carry on with it.

    Attributes
    ----------
    run_sheet, branches
        The run sheet as it stood, and the calls prepared for teaching again, as JSON text.
    call
        The number of the last call that began.
    """

    number: int
    class_name: str
    title: str
    began_s: float
    run_sheet: str
    branches: str
    call: int
    stand_in: bool

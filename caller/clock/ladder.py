"""The ladder: in which order clock times are learnt, and what makes one harder than another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal, TypeAlias

from caller.clock import ALL_TIMES, ClockError, ClockTime, angle_between

Status: TypeAlias = Literal["found", "found in a copy", "from memory", "weak, from memory", "no source"]
"""How a published fact is known: read at its issuer, read in a copy, remembered, or nowhere."""

LadderQuestion: TypeAlias = Literal["read the dial", "later and earlier", "time of day"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Standard:
    """One published standard a step prepares for."""

    body: str
    code: str
    age: str
    says: str
    status: Status


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """
    One rung of the ladder.

    Attributes
    ----------
    code : str
        What a lesson writes, such as ``"fives-to"``.
    precision_min : int
        The finest difference a child at this step is asked to read, in minutes.
    minutes : tuple of int
        The minutes past the hour that a dial may show at this step.
    question : str
        What is new here: reading a dial, later and earlier, or the time of day.
    """

    code: str
    name: str
    description: str
    precision_min: int
    minutes: tuple[int, ...]
    question: LadderQuestion = "read the dial"
    standards: tuple[Standard, ...]


@dataclass(frozen=True, slots=True)
class Difficulty:
    """How hard a time is to read: `score` from 0 (easiest) to 1, and what it is made of."""

    score: float
    parts: Mapping[str, float]


def _ccss(code: str, age: str, says: str) -> Standard:
    return Standard(
        body="US Common Core, mathematics, 2010", code=code, age=age, says=says, status="found in a copy"
    )


def _england(year: int, says: str) -> Standard:
    return Standard(
        body="National curriculum in England 2013, mathematics, measurement",
        code=f"Year {year}",
        age=f"{year + 4}-{year + 5}",
        says=says,
        status="found in a copy",
    )


def _acara(code: str, age: str, says: str, status: Status) -> Standard:
    return Standard(
        body="Australian Curriculum v9, mathematics (ACARA)", code=code, age=age, says=says, status=status
    )


_CCSS_1 = _ccss("1.MD.B.3", "6-7", "tell and write time in hours and half-hours")
_CCSS_2 = _ccss("2.MD.C.7", "7-8", "to the nearest five minutes, a.m. and p.m.; quarters are not named")
_CCSS_3 = _ccss("3.MD.A.1", "8-9", "to the nearest minute; measure intervals in minutes")
_ENGLAND_1 = _england(1, "the hour and half past the hour")
_ENGLAND_2 = _england(2, "to five minutes, including quarter past and quarter to")
_ENGLAND_3 = _england(
    3, "to the nearest minute; Roman numerals; 12-hour and 24-hour clocks; a.m., p.m., noon, midnight"
)
_ENGLAND_4 = _england(4, "convert between analogue and digital 12- and 24-hour clocks")
_ACARA_2 = _acara("AC9M2M04", "7-8", "the hour, half-hour and quarter-hour", "from memory")
_ACARA_3 = _acara("AC9M3M04", "8-9", "relate hours and minutes; to the nearest minute", "found in a copy")
_ACARA_4 = _acara("AC9M4M03", "9-10", "duration, a.m. and p.m.", "from memory")
_ACARA_5 = _acara("AC9M5M03", "10-11", "12-hour and 24-hour clocks", "from memory")

_FIVES = tuple(range(0, 60, 5))

# The order hour, half hour, quarter hour, five minutes, one minute is Boulton-Lewis, Wilss & Mutch 1997
# (J. Math. Behavior 16:136-151, abstract); the split of the fives at the half hour, and the step for
# times near the hour, are ours, after the finding that the nearing hour hand is what stays hard.
STEPS: tuple[Step, ...] = (
    Step(
        code="o-clock",
        name="O'clock",
        description="The long hand at twelve; the short hand names the hour.",
        precision_min=60,
        minutes=(0,),
        standards=(_CCSS_1, _ENGLAND_1, _ACARA_2),
    ),
    Step(
        code="half-past",
        name="Half past",
        description="The long hand at six; the short hand half way between two numerals.",
        precision_min=30,
        minutes=(0, 30),
        standards=(_CCSS_1, _ENGLAND_1, _ACARA_2),
    ),
    Step(
        code="quarters",
        name="Quarter past and quarter to",
        description="The long hand at three or nine as well.",
        precision_min=15,
        minutes=(0, 15, 30, 45),
        standards=(_CCSS_2, _ENGLAND_2, _ACARA_2),
    ),
    Step(
        code="fives-past",
        name="Fives past the hour",
        description="Counting in fives from twelve down to the half hour.",
        precision_min=5,
        minutes=(0, 5, 10, 15, 20, 25, 30, 45),
        standards=(_CCSS_2, _ENGLAND_2, _ACARA_3),
    ),
    Step(
        code="fives-to",
        name="Fives to the hour",
        description="All the fives: past the half hour the short hand nears the coming hour.",
        precision_min=5,
        minutes=_FIVES,
        standards=(_CCSS_2, _ENGLAND_2, _ACARA_3),
    ),
    Step(
        code="minutes",
        name="Single minutes",
        description="Fives, then ones, from five past to five to.",
        precision_min=1,
        minutes=(0, *range(5, 56)),
        standards=(_CCSS_3, _ENGLAND_3, _ACARA_3),
    ),
    Step(
        code="near-the-hour",
        name="Near the hour",
        description="The few minutes round the hour, when the short hand seems to stand on a numeral.",
        precision_min=1,
        minutes=tuple(range(60)),
        standards=(_CCSS_3, _ENGLAND_3, _ACARA_3),
    ),
    Step(
        code="elapsed",
        name="Later and earlier",
        description="How long from one time to another, across the hour.",
        precision_min=5,
        minutes=_FIVES,
        question="later and earlier",
        standards=(_CCSS_3, _ENGLAND_3, _ACARA_4),
    ),
    Step(
        code="day-parts",
        name="Parts of the day and the 24-hour clock",
        description="Morning or afternoon, and the same time on a 24-hour clock.",
        precision_min=5,
        minutes=_FIVES,
        question="time of day",
        standards=(_CCSS_2, _ENGLAND_3, _ENGLAND_4, _ACARA_5),
    ),
)
"""All steps, easiest first."""

STEP_CODES: tuple[str, ...] = tuple(step.code for step in STEPS)


def step(code: str) -> Step:
    """
    The step with this code.

    Raises
    ------
    ClockError
        If the ladder has no such step.
    """
    for each in STEPS:
        if each.code == code:
            return each
    raise ClockError(f'The ladder has no step "{code}": its steps are {", ".join(STEP_CODES)}.')


def ages(step: Step) -> str:
    """From which to which age, in years, the published standards expect this step."""
    years = [int(year) for each in step.standards for year in each.age.split("-")]
    return f"{min(years)}-{max(years)}"


@cache
def times_at(step: Step) -> tuple[ClockTime, ...]:
    """All times a dial may show at this step, from twelve o'clock on."""
    return tuple(time for time in ALL_TIMES if time.minute in step.minutes)


def step_of(time: ClockTime) -> Step:
    """The lowest step that can hold this time."""
    return next(each for each in STEPS if time.minute in each.minutes)


# Weights are our own judgement; the directions are published. The nearing hour hand: Florida CPALMS
# 15298 and Earnest, Gonzales & Plant 2018 (the hour hand is the harder one). Counting, in fives and ones
# together: Burny, Valcke & Desoete 2012. Past the half hour: Friedman & Laycock 1989, from memory.
# Overlapping hands and the step from twelve to one are common practice, no source.
_WEIGHTS: Mapping[str, float] = MappingProxyType(
    {
        "hour hand": 0.35,
        "counting": 0.3,
        "past the half hour": 0.15,
        "hands overlap": 0.1,
        "twelve to one": 0.1,
    }
)


def difficulty(time: ClockTime) -> Difficulty:
    """
    How hard this time is to read off a dial, to order the times inside a step.

    Returns
    -------
    Difficulty
        `parts` add up to `score`. "hour hand": how far it has gone from its own numeral to the next.
        "counting": fives and ones to count from the nearest of 12, 3, 6 and 9, against the longest such
        count. "past the half hour": whether the coming hour is in play. "hands overlap": how nearly one hand
        covers the other, from 30 degrees apart down. "twelve to one": past the half hour between 12 and 1.
    """
    minute = time.minute
    fives, ones = divmod(min(minute % 15, 15 - minute % 15), 5)
    late = minute > 30
    amounts = {
        "hour hand": minute / 60,
        "counting": (fives + ones) / 4,
        "past the half hour": float(late),
        "hands overlap": max(0.0, 1 - angle_between(time) / 30),
        "twelve to one": float(late and time.hour == 12),
    }
    parts = {name: _WEIGHTS[name] * amount for name, amount in amounts.items()}
    return Difficulty(score=sum(parts.values()), parts=MappingProxyType(parts))

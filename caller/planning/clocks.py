"""Which clocks and kinds of question a lesson shows: new from easy to hard, old ones back when due."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import cycle
from random import Random
from types import MappingProxyType
from typing import Final, TypeAlias

from caller.clock import ClockTime, DayTime, arms_can_show
from caller.clock.fair import DURATIONS
from caller.clock.ladder import STEP_CODES, STEPS, difficulty, step, times_at
from caller.planning.classfile import ReadsWords
from caller.questions import question_kind
from caller.questions.kind import on_dial
from caller.questions.on_the_dial import READ
from caller.questions.with_time import DAY_PART, EARLIER, HALF_OF_DAY, HOW_LONG, LATER

LESSONS_UNTIL_RETURN: Final = (1, 2, 4, 8, 16)
"""A skill comes back so many lessons after its last lesson, then after its last return.

Doubling boxes that count sessions: Leitner 1972 (from memory). Space practice over weeks and months: IES
Practice Guide NCER 2007-2004 (from memory). Expanding gaps keep recall higher on the way, for the same final
test: Kang, Lindsey, Mozer & Pashler 2014, Psychon. Bull. Rev. (found); for children's generalisation see
Vlach, Sandhofer & Bjork 2014, J. Exp. Child Psychol. 123:129-137. None of it is about clocks: a default to
override.
"""

SOURCES: Final = (
    "Leitner 1972 (doubling boxes, counted in sessions; from memory)",
    "Cepeda et al. 2009, Experimental Psychology 56(4):236-246 (a gap between sessions helps recall)",
    "Kang, Lindsey, Mozer & Pashler 2014, Psychonomic Bulletin & Review (growing gaps keep more in mind)",
)

WELL_KNOWN: Final = 0.8
"""About 80 % right before moving on: Rosenshine 2012, American Educator 36(1), from memory."""

_RETURN_SHARE: Final = 0.3  # of a lesson's rounds; the rest is what the lesson is about


def due_after(lessons_since: Mapping[str, tuple[int, int]]) -> list[str]:
    """Return the steps that are due, the most overdue first.

    Parameters
    ----------
    lessons_since
        For each step met before: lessons since it was last met, and how often it has come back already.
    """
    overdue = {
        code: since - LESSONS_UNTIL_RETURN[min(returns, len(LESSONS_UNTIL_RETURN) - 1)]
        for code, (since, returns) in lessons_since.items()
    }
    return sorted(
        (code for code, lessons in overdue.items() if lessons >= 0),
        key=lambda code: (-overdue[code], -STEP_CODES.index(code)),
    )


def steps_to_return_to(focus: str, known: Mapping[str, float]) -> list[str]:
    """Return the steps below `focus`, the one in most need first.

    That is the least known of those that the class has shown; where nothing is known, the nearest below.
    """
    below = STEP_CODES[: STEP_CODES.index(focus)]
    return sorted(below, key=lambda code: (known.get(code, WELL_KNOWN), -below.index(code)))


def return_places(rounds: int) -> list[int]:
    """Return which rounds, from 0, go back to an earlier step: gaps grow, and the last round is one."""
    if rounds < 3:
        return []
    wanted = max(1, round(_RETURN_SHARE * rounds))
    places, at, gap = [rounds - 1], 1, 2
    while len(places) < wanted and at < rounds - 2:
        places.append(at)
        at, gap = at + gap, gap + 1
    return sorted(places)


def shared_out(codes: Sequence[str], count: int) -> list[str]:
    """Return `count` steps to go back to, from those in need; the first comes most often."""
    if not codes:
        return []
    some = codes[: max(1, (2 * count + 2) // 3)]
    return [some[index % len(some)] for index in range(count)]


NOT_WITHIN_DAYS: Final = 14.0
"""A clock that the class met less than so many days ago is not shown again, if the step has another."""

CROSSING: Final = 0.5
"""From this hardness, later and earlier go over the hour; what is within it is easier."""

Recent: TypeAlias = Sequence[tuple[ClockTime, float]]
"""Clocks met, each with how many days ago."""

# A day at school and round it: nobody is asked for half past three at night.
_DAY_HOURS = (*range(6, 22), 0)
# Of these the dial shows each in both halves of the day, so that it does not tell which it is.
_HOURS_OF_BOTH_HALVES = tuple(hour for hour in _DAY_HOURS if (hour + 12) % 24 in _DAY_HOURS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """A clock to be asked about.

    Attributes
    ----------
    kind
        What asks about it; None where any question about reading a dial will do.
    step
        The step of the ladder that it belongs to.
    hardness
        0 to 1, to order the clocks of one step.
    """

    time: ClockTime | DayTime
    step: str
    hardness: float
    kind: str | None = None
    change_minutes: int | None = None

    @property
    def dial(self) -> ClockTime:
        """What the dial shows."""
        return self.time.dial if isinstance(self.time, DayTime) else self.time


@cache
def pool(code: str) -> tuple[Clock, ...]:
    """Return the clocks that are new at a step, easiest first."""
    make = _POOLS.get(code, _dials)
    return tuple(sorted(make(code), key=lambda clock: (clock.hardness, clock.dial)))


class ClockBag:
    """Clocks to draw from, which remembers what the class has met, in this lesson and lately."""

    def __init__(self, recent: Recent, random: Random) -> None:
        self._random = random
        self._days_ago: dict[ClockTime, float] = {}
        for time, days in recent:
            self._days_ago[time] = min(days, self._days_ago.get(time, days))
        self.again: list[Clock] = []  # drawn although met lately, because the step had no other left

    def rising(self, code: str, count: int) -> list[Clock]:
        """Draw `count` clocks of a step, one from each of as many stretches from easy to hard."""
        fresh = [clock for clock in pool(code) if self._fresh(clock)]
        drawn: list[Clock] = []
        stretches = min(count, len({clock.dial for clock in fresh}))
        for index in range(stretches):
            stretch = fresh[len(fresh) * index // stretches : len(fresh) * (index + 1) // stretches]
            drawn.append(self._one([each for each in stretch if self._fresh(each)] or fresh))
        while len(drawn) < count:
            drawn.append(self._one(pool(code)))
        return sorted(drawn, key=lambda clock: clock.hardness)

    def one(self, code: str, *, easy: bool = False) -> Clock:
        """Draw one clock of a step; an `easy` one from its easier half, if that has one left."""
        clocks = pool(code)
        easier = clocks[: (len(clocks) + 1) // 2]
        return self._one(easier if easy and any(map(self._fresh, easier)) else clocks)

    def _one(self, clocks: Sequence[Clock]) -> Clock:
        fresh = [clock for clock in clocks if self._fresh(clock)]
        if fresh:
            drawn = self._random.choice(fresh)
        else:
            longest = max(self._days(clock) for clock in clocks)
            drawn = self._random.choice([clock for clock in clocks if self._days(clock) == longest])
            self.again.append(drawn)
        self._days_ago[drawn.dial] = 0.0
        return drawn

    def _days(self, clock: Clock) -> float:
        return self._days_ago.get(clock.dial, float("inf"))

    def _fresh(self, clock: Clock) -> bool:
        return self._days(clock) > NOT_WITHIN_DAYS


def _dials(code: str) -> list[Clock]:
    """Return the times that a step adds to the steps before it."""
    before: set[int] = set()
    for each in STEPS:
        if each.code == code:
            break
        before.update(each.minutes)
    return [
        Clock(time=time, step=code, hardness=difficulty(time).score)
        for time in times_at(step(code))
        if time.minute not in before
    ]


def _changes(code: str) -> list[Clock]:
    """Return starts with a change of whole fives up to an hour, later and earlier, and lengths to be told."""
    return [
        Clock(
            time=start,
            step=code,
            kind=kind,
            change_minutes=change,
            hardness=_change_hardness(start, change, kind),
        )
        for place, start in enumerate(times_at(step(code)))
        for kind, changes in (
            (LATER.code, range(5, 60, 5)),
            (EARLIER.code, range(5, 60, 5)),
            # Each start has a quarter of all lengths, another one than the next: as many as of the others.
            (HOW_LONG.code, DURATIONS[place % 4 :: 4]),
        )
        for change in changes
    ]


def _change_hardness(start: ClockTime, change: int, kind: str) -> float:
    """Crossing the hour is what is hard (Kamii & Russell 2012); the weights are our own judgement."""
    to_hour = start.minute if kind == EARLIER.code else 60 - start.minute
    if kind == HOW_LONG.code:
        return CROSSING * (to_hour < change) + 0.1 + 0.3 * change / max(DURATIONS)
    return CROSSING * (to_hour < change) + 0.2 * (kind == EARLIER.code) + 0.3 * change / 60


def _days_times(code: str) -> list[Clock]:
    """Return times of day; after noon twelve is added, which is what is new. The weights are our own."""
    return [
        Clock(
            time=DayTime(hour, minute),
            step=code,
            kind=kind,
            hardness=0.5 * (hour > 12) + 0.3 * (hour in (0, 12) or hour >= 20) + 0.2 * minute / 60,
        )
        for kind, hours in ((DAY_PART.code, _DAY_HOURS), (HALF_OF_DAY.code, _HOURS_OF_BOTH_HALVES))
        for hour in hours
        for minute in step(code).minutes
    ]


_POOLS: Mapping[str, Callable[[str], list[Clock]]] = {"elapsed": _changes, "day-parts": _days_times}


# In a "find" round no words have to be read, and in "be the clock" nothing at all: the less a class reads,
# the more of them. Mixed kinds teach to tell problems apart (Rohrer & Taylor 2007, from memory).
_MIXES: Final[Mapping[ReadsWords, tuple[str, ...]]] = MappingProxyType(
    {
        "none": ("read", "find", "be-the-clock", "find", "is-it-so", "read", "find"),
        "early": ("read", "find", "read", "is-it-so", "read", "be-the-clock", "find"),
        "fluent": ("read", "is-it-so", "read", "find", "read"),
    }
)


def with_kinds(clocks: Sequence[Clock], reading: ReadsWords) -> list[Clock]:
    """Return the clocks with a kind of question each; the first and the last are read off the dial.

    A clock that brings its own kind keeps it.
    """
    mix = cycle(_MIXES[reading])
    asked = []
    for index, clock in enumerate(clocks):
        if clock.kind is None:
            kind = next(mix)
            while not _can_ask(kind, clock):
                kind = next(mix)
            if index in (0, len(clocks) - 1):
                kind = READ.code
            clock = replace(clock, kind=kind)
        asked.append(clock)
    return asked


def _can_ask(kind: str, clock: Clock) -> bool:
    asking = question_kind(kind)
    shown = asking.choices != "none" or arms_can_show(on_dial(clock.time))
    return shown and step(clock.step).precision_min >= asking.finest_min

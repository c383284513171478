"""What a kind of question is: one object with its facts, and how it is decided; no words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from random import Random
from typing import Literal, TypeAlias

from caller.clock import ClockError, ClockTime, DayTime
from caller.clock.beyond_dial import Half, on_day
from caller.clock.ladder import Step
from caller.clock.mixups import explained_by
from caller.clock.said_and_shown import Manner
from caller.clock.wrong import choose, rank

ShownTime: TypeAlias = ClockTime | DayTime


def on_dial(time: ShownTime) -> ClockTime:
    """Return a time as a dial shows it."""
    return time.dial if isinstance(time, DayTime) else time


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking:
    """What a kind of question is given to decide with.

    Attributes
    ----------
    choices
        How many the script wants; a kind that has always two, or none, does not look.
    manners
        How the choices are said, the main way first.
    chance
        This round's own random numbers, for this decision alone.
    used
        The mix-ups behind the wrong readings offered so far in the lesson.
    confused
        How much the class shows each mix-up, 0 to 1.
    again
        The mix-ups to ask about once more: the wrong reading comes of one of them. None at the first try.
    """

    time: ShownTime
    wrong: tuple[ShownTime, ...] = ()
    claim: ClockTime | None = None
    change_minutes: int = 30
    choices: int = 2
    step: Step
    manners: tuple[Manner, ...]
    chance: Random
    used: tuple[frozenset[str], ...] = ()
    confused: Mapping[str, float] = field(default_factory=dict)
    minimum_difference_deg: float = 6.0
    again: frozenset[str] = frozenset()

    @property
    def dial(self) -> ClockTime:
        """The time as a dial shows it."""
        return on_dial(self.time)


@dataclass(frozen=True, slots=True, kw_only=True)
class WrongChoice:
    """A choice that is not right, with the mix-ups that lead to it."""

    time: ShownTime
    mixups: frozenset[str] = frozenset()

    @property
    def dial(self) -> ClockTime:
        """The time as a dial shows it."""
        return on_dial(self.time)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A question with everything decided but sides and moves.

    Attributes
    ----------
    kind
        The code of its kind.
    time
        The right answer.
    start, change_minutes
        Where the answer lies so many minutes from a clock that is shown: that clock, and the minutes,
        below zero for earlier.
    claim
        What is claimed, where the answer is yes or no.
    """

    kind: str
    time: ShownTime
    start: ClockTime | None = None
    change_minutes: int = 0
    claim: ClockTime | None = None
    wrong: tuple[WrongChoice, ...] = ()

    @property
    def dial(self) -> ClockTime:
        """The right answer as a dial shows it."""
        return on_dial(self.time)

    @property
    def choices(self) -> int:
        """How many choices there are: none where there is no wrong answer."""
        return 1 + len(self.wrong) if self.wrong else 0

    @property
    def told_wrong(self) -> tuple[WrongChoice, ...]:
        """The choices that name another dial than the right one; "no" to a true claim names none."""
        return tuple(each for each in self.wrong if each.dial != self.dial)


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionKind:
    """One kind of question.

    Attributes
    ----------
    code, label
        As scripts name it, and as a teacher reads it.
    choices
        "none" where nothing can be wrong, "two" where there are always two, "free" where the script says.
    day_time
        Asks about a time of day, which a dial alone does not show.
    claims
        A script may claim a time.
    read_off_dial
        The answer is read off the dial that is shown, so a wrong one is a misread dial.
    wrong_kept
        The wrong readings of the script are offered as they stand.
    skill
        The step of the ladder that it practises; the clock's own where None.
    finest_min
        It cannot ask for minutes finer than these.
    again
        The code of the kind that teaches the same once more.
    decide
        Makes the choices.
    tempting
        Tells whether a documented mistake leads to a time: the question, the time, the step it is read at.
    """

    code: str
    label: str
    choices: Literal["none", "two", "free"] = "free"
    day_time: bool = False
    claims: bool = False
    read_off_dial: bool = False
    wrong_kept: bool = False
    skill: str | None = None
    finest_min: int = 1
    again: str
    decide: Callable[[Asking], Question]
    tempting: Callable[[Question, ShownTime, Step], bool]

    def choices_of(self, wanted: int) -> int:
        """Return how many choices a round has for which the script wants so many."""
        return {"none": 0, "two": 2, "free": wanted}[self.choices]

    def asks_about(self, time: ClockTime, half: Half) -> ShownTime:
        """Return what to ask about where a dial shows `time`: in this half of the day, if it asks for one."""
        return on_day(time, half) if self.day_time else time


def wrong_readings(asking: Asking, time: ClockTime) -> tuple[WrongChoice, ...]:
    """Return the wrong readings of `time` to offer, the script's own first, with the mix-ups behind each.

    Raises
    ------
    ClockError
        If there are not so many, or none that comes of a mix-up to be asked about again.
    """
    wanted = asking.wrong or ((_by_mixup(asking, time),) if asking.again else ())
    own = tuple(
        WrongChoice(time=each, mixups=explained_by(time, each, asking.manners))
        for each in map(on_dial, wanted)
    )
    needed = asking.choices - 1 - len(own)
    if needed <= 0:
        return own[: asking.choices - 1]
    chosen = choose(
        time,
        step=asking.step,
        count=needed,
        seed=asking.chance,
        confused=asking.confused,
        minimum_difference_deg=asking.minimum_difference_deg,
        used=(*asking.used, *(each.mixups for each in own)),
        manners=asking.manners,
    )
    return own + tuple(WrongChoice(time=each.time, mixups=each.mixups) for each in chosen)


def _by_mixup(asking: Asking, time: ClockTime) -> ClockTime:
    """Return the best wrong reading of `time` that a mix-up to be asked about again gives."""
    ranked = rank(
        time,
        step=asking.step,
        confused=asking.confused,
        minimum_difference_deg=asking.minimum_difference_deg,
        manners=asking.manners,
    )
    alike = [each for each in ranked if each.mixups & asking.again]
    if not alike:
        raise ClockError(f"No wrong reading of {time} comes of the same mix-up.")
    # The reading that most of the same mix-ups explain asks the same question again.
    return max(alike, key=lambda each: len(each.mixups & asking.again) / len(each.mixups | asking.again)).time

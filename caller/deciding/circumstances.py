"""What all decisions about one lesson go by: its step, its hall and class, and its streams of chance."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from random import Random
from types import MappingProxyType
from typing import Final

from caller.clock import ClockError, ClockTime
from caller.clock.ladder import Step, step, times_at
from caller.clock.said_and_shown import Manner, read_off
from caller.clock.wrong import MINUTE_MARK_DEG
from caller.errors import ScriptError
from caller.languages import Register, language
from caller.lesson import Lesson, Round
from caller.moves.pairs import Conditions
from caller.questions import question_kind
from caller.questions.kind import Asking, Question, ShownTime, on_dial

FIRST_ROUNDS: Final = 2
"""In so many rounds no two choices are a minute apart: eyes that have just come in cannot tell them."""

_REGISTERS: Mapping[str, tuple[Register, Register]] = MappingProxyType(
    {
        "analogue": ("analogue", "analogue"),
        "digital": ("digital", "digital"),
        "both": ("analogue", "digital"),
    }
)


@dataclass(frozen=True, slots=True)
class Streams:
    """Random numbers from a lesson's seed, apart for each decision and round.

    So editing one round leaves the others as they were.
    """

    seed: int

    def of(self, decision: str, number: int | str = 0) -> Random:
        """Return the stream of one decision; the same on every machine and in every process."""
        # A string seed is hashed with SHA-512 by the library, never with the process's own hash.
        return Random(f"{self.seed}/{decision}/{number}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Circumstances:
    """What decisions go by.

    Attributes
    ----------
    conditions
        What limits the moves.
    confused
        How much this class shows each mix-up, from 0 to 1.
    minimum_difference_deg
        The smallest difference between two dials that the last row can tell.
    led_before
        The class knows how a lesson goes.
    """

    conditions: Conditions
    confused: Mapping[str, float] = field(default_factory=dict)
    minimum_difference_deg: float = MINUTE_MARK_DEG
    led_before: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonInHand:
    """A lesson being decided: the script, its step, and where it is held."""

    lesson: Lesson
    given: Circumstances
    step: Step
    registers: tuple[Register, Register]
    streams: Streams

    @classmethod
    def of(cls, lesson: Lesson, given: Circumstances | None = None) -> LessonInHand:
        """Return a lesson under the circumstances `given`; its own space, shoes and floor if left out."""
        return cls(
            lesson=lesson,
            given=given or Circumstances(conditions=conditions_of(lesson)),
            step=step(lesson.step),
            registers=registers_of(lesson),
            streams=Streams(lesson.seed),
        )

    @property
    def manners(self) -> tuple[Manner, ...]:
        """How this lesson's language says times, in the lesson's registers."""
        return manners_of(self.lesson)

    @property
    def age_y(self) -> float:
        """How old the youngest are, in years."""
        return float(self.lesson.age)

    @property
    def times(self) -> tuple[ClockTime, ...]:
        """The times of the lesson's step."""
        return times_at(self.step)

    def spare_time(
        self,
        name: int | str,
        taken: Sequence[ShownTime],
        *,
        fits: Callable[[ClockTime], bool] | None = None,
    ) -> ClockTime:
        """Return a time of the lesson's step that `fits` and is not `taken`, if there is one."""
        dials = {on_dial(each) for each in taken}
        # The time is drawn from all of the step's, so that an edited round does not move the others.
        drawn = self.streams.of("time", name).sample(self.times, len(self.times))
        fitting = [time for time in drawn if fits is None or fits(time)]
        return next((time for time in fitting if time not in dials), fitting[0])

    def question(
        self,
        each: Round,
        name: int | str,
        time: ShownTime,
        *,
        used: tuple[frozenset[str], ...] = (),
        again: frozenset[str] = frozenset(),
    ) -> Question:
        """Decide a round's question; what no clock can do is told with the round it is in.

        Parameters
        ----------
        used, again
            The mix-ups behind the lesson's wrong readings so far; and those that are to be asked about again.

        Raises
        ------
        ScriptError
            If the round cannot be played as it is written.
        """
        kind = question_kind(each.kind)
        asking = Asking(
            time=time,
            wrong=each.wrong,
            claim=each.claim,
            change_minutes=each.change_minutes,
            choices=kind.choices_of(each.choices or self.lesson.choices),
            step=self.step,
            manners=self.manners,
            chance=self.streams.of("wrong", name),
            used=used,
            again=again,
            confused=self.given.confused,
            minimum_difference_deg=self._least_difference_deg(name),
        )
        try:
            return kind.decide(asking)
        except ClockError as error:
            where = "Practice" if name == "practice" else f"Round {name}"
            raise ScriptError(f"{where}: {error}") from None

    def _least_difference_deg(self, name: int | str) -> float:
        """Return how much two dials must differ: a minute apart is for eyes that have come in."""
        least = self.given.minimum_difference_deg
        first = name == "practice" or (isinstance(name, int) and name <= FIRST_ROUNDS)
        return max(least, 2 * MINUTE_MARK_DEG) if first else least


def registers_of(lesson: Lesson) -> tuple[Register, Register]:
    """Return how a choice is read the first and the second time."""
    return _REGISTERS[lesson.register]


def manners_of(lesson: Lesson) -> tuple[Manner, ...]:
    """Return how the lesson's class takes times apart that it reads off its dials, the main way first."""
    manners = language(lesson.language).manners(registers_of(lesson))
    return tuple(read_off(each, lesson.numerals) for each in manners)


def conditions_of(lesson: Lesson) -> Conditions:
    """Return what a lesson says about its hall and class, as far as it limits moves."""
    return Conditions(
        space_radius_m=lesson.space_m / 2, shod=lesson.shod, wet=lesson.wet, chairs=lesson.seated
    )

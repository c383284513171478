"""Plan one lesson: from a class to a script that fits its period by the words really spoken."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from random import Random
from types import MappingProxyType
from typing import Final

from caller.clock.times import ClockTime
from caller.errors import UserError
from caller.lesson.model import MOST_ROUNDS, CatchUp, Close, Example, Lesson, Opening, Practice, Round
from caller.moves.catalogue import find
from caller.moves.dose import CALM_S, WARM_UP_S, Dose
from caller.planning.classfile import SchoolClass
from caller.planning.clocks import Clock, ClockBag, Recent
from caller.planning.dosage import lesson_dose
from caller.planning.fitting import Limits, NoFitError, fit
from caller.planning.kinds import with_kinds
from caller.planning.lengths import SpokenLengths, total_s
from caller.planning.moves import MovePicker
from caller.planning.sides import fault_of
from caller.planning.spacing import return_places, shared_out, steps_to_return_to
from caller.planning.staging import Stage
from caller.planning.titles import title
from caller.planning.warming import active_share, warm_up_moves
from caller.runsheet.model import RunSheet

_ATTEMPTS: Final = 24
_SEEDS: Final = 10_000

# How long to think and move: the least that leaves time to count (own inference), and the most that stays a
# short burst. About 25 s is common practice; both ends are our own choice.
_LEAST_THINK_S: Final[Mapping[str, int]] = MappingProxyType(
    {"o-clock": 10, "half-past": 10, "quarters": 12, "fives-past": 14, "fives-to": 15}
)
_LEAST_THINK_FINE_S: Final = 16
_MOST_THINK_S: Final = (30, 35)  # under eight years, and from eight years
_EIGHT_Y: Final = 8.0

_LONGEST_WARM_UP_S: Final = 300.0  # 5 to 10 minutes is what handbooks name (from memory); a quarter at most
_WARM_UP_MOVE_S: Final = 75.0
_WARM_UP_SHARES: Final = (0.1, 0.25)
_LOOSER_THINK_S: Final = 4  # where nothing else fits, so much less to think, and the warm-up counts for more
_BREATH_S: Final = 7.0
_FEW_BREATHS, _MOST_BREATHS = 2, 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """Which parts a lesson has, and whether it must have as many rounds as its minutes ask for."""

    example: bool
    practice: bool
    brief: bool = False  # no catch-up, and fewer breaths
    enough_rounds: bool = True


# A short period leaves parts out, the practice first, and has fewer rounds only when nothing else helps.
_SHAPES: Final = (
    Shape(example=True, practice=True),
    Shape(example=True, practice=False),
    Shape(example=False, practice=False),
    Shape(example=False, practice=False, brief=True),
    Shape(example=False, practice=False, brief=True, enough_rounds=False),
)
_MINUTES_A_ROUND: Final = 3.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A planned lesson, and what there is to say about it.

    Attributes
    ----------
    clocks
        The clock of each round, with the step it comes from.
    again
        Clocks that the class has met in the last two weeks, because their step has no others left.
    """

    school_class: SchoolClass
    lesson: Lesson
    clocks: tuple[Clock, ...]
    again: tuple[Clock, ...]
    run_sheet: RunSheet
    length_s: float
    dose: Dose

    @property
    def shown(self) -> tuple[ClockTime, ...]:
        """Every clock that the lesson shows, the example and the practice included."""
        extra = (self.lesson.worked_example.time, self.lesson.practice.time)
        return (*(time for time in extra if time is not None), *(clock.dial for clock in self.clocks))


def plan_lesson(
    school_class: SchoolClass,
    *,
    stage: Stage,
    lengths: SpokenLengths,
    minutes: int | None = None,
    focus: str | None = None,
    seed: int = 1,
    known: Mapping[str, float] = MappingProxyType({}),
    confused: Mapping[str, float] = MappingProxyType({}),
    recent: Recent = (),
    returns: Sequence[str] | None = None,
) -> Plan:
    """Return a lesson for a class.

    Parameters
    ----------
    stage
        The hall; the class's own is `stage_of(school_class.hall, folder)`.
    lengths
        How long the words take to say.
    minutes, focus
        The period and the step of the ladder; the class's own if left out.
    seed
        Another number gives another lesson.
    known
        For each step that the class has shown something of, how well it knows it, 0 to 1.
    confused
        How much the class shows each mix-up, 0 to 1.
    recent
        Clocks that the class has met, each with how many days ago.
    returns
        Earlier steps to come back to, the one most in need first; chosen if left out.

    Raises
    ------
    UserError
        If no lesson fits the minutes, or no moves fit the class and the hall.
    """
    focus = focus or school_class.step
    minutes = minutes or school_class.minutes
    if returns is None:
        returns = steps_to_return_to(focus, known)
    problem = ""
    for attempt in range(_ATTEMPTS):
        planner = _Planner(
            school_class,
            stage,
            lengths,
            minutes,
            focus,
            Random(f"{school_class.name}/{focus}/{seed}/{attempt}").randrange(1, _SEEDS),
            confused,
            recent,
            returns,
        )
        plan = planner.plan()
        problem = fault_of(tuple(facts.answer for facts in plan.run_sheet.rounds if facts.moves))
        if not problem:
            return plan
    raise UserError(f"No lesson came out well: {problem} Try another seed.")


@dataclass(frozen=True, slots=True)
class _Planner:
    """One attempt, with one seed."""

    school_class: SchoolClass
    stage: Stage
    lengths: SpokenLengths
    minutes: int
    focus: str
    seed: int
    confused: Mapping[str, float]
    recent: Recent
    returns: Sequence[str]

    def plan(self) -> Plan:
        lesson, clocks, again = self._fitted()
        draft = self._run_sheet(lesson)
        lesson = self._decided(lesson, draft)
        run_sheet = self.stage.run_sheet(lesson)
        layouts = self.lengths.layouts(run_sheet)
        return Plan(
            school_class=self.school_class,
            lesson=lesson,
            clocks=clocks,
            again=again,
            run_sheet=run_sheet,
            length_s=total_s(layouts),
            dose=lesson_dose(layouts, age_y=self.school_class.age_y),
        )

    def _fitted(self) -> tuple[Lesson, tuple[Clock, ...], tuple[Clock, ...]]:
        """Return the first shape of lesson that fits, with its clocks."""
        school_class = self.school_class
        conditions = school_class.conditions
        warm_up = warm_up_moves(self._random("warm-up"), conditions, age_y=school_class.age_y)
        for shape in _SHAPES:
            try:
                fitted = fit(
                    partial(self._lesson_of, shape, warm_up),
                    lambda lesson: self.lengths.layouts(self._run_sheet(lesson)),
                    seconds=60.0 * self.minutes,
                    limits=self._limits(shape, warm_up),
                    warm_up_share=active_share(warm_up, age_y=school_class.age_y),
                )
            except NoFitError:
                if shape is _SHAPES[-1]:
                    raise
                continue
            lesson, clocks, again = self._composed(fitted.rounds, shape, warm_up)
            opening = replace(lesson.opening, warm_up_seconds=fitted.warm_up_s)
            return replace(lesson, think_seconds=fitted.think_s, opening=opening), clocks, again
        raise AssertionError

    def _lesson_of(self, shape: Shape, warm_up: tuple[str, ...], rounds: int) -> Lesson:
        return self._composed(rounds, shape, warm_up)[0]

    def _limits(self, shape: Shape, warm_up: tuple[str, ...]) -> Limits:
        least, most = (share * 60.0 * self.minutes for share in _WARM_UP_SHARES)
        think_s = _LEAST_THINK_S.get(self.focus, _LEAST_THINK_FINE_S)
        if not shape.enough_rounds:
            think_s, least, most = think_s - _LOOSER_THINK_S, 0.5 * least, 2 * most
        most = min(most, _LONGEST_WARM_UP_S, _WARM_UP_MOVE_S * len(warm_up))
        return Limits(
            think_s=(think_s, _MOST_THINK_S[self.school_class.age_y >= _EIGHT_Y]),
            warm_up_s=(round(min(least, WARM_UP_S, most)), round(most)),
            fewest_rounds=max(2, round(self.minutes / _MINUTES_A_ROUND)) if shape.enough_rounds else 1,
            most_rounds=MOST_ROUNDS,
        )

    def _composed(
        self, rounds: int, shape: Shape, warm_up: tuple[str, ...]
    ) -> tuple[Lesson, tuple[Clock, ...], tuple[Clock, ...]]:
        """Return the lesson with so many rounds, before its times and moves are decided."""
        school_class = self.school_class
        bag = ClockBag(self.recent, self._random("clocks"))
        places = return_places(rounds) if self.returns else []
        new = bag.rising(self.focus, rounds - len(places))
        back = [
            bag.one(code, easy=place == rounds - 1)
            for place, code in zip(places, shared_out(self.returns, len(places)), strict=True)
        ]
        clocks = [back.pop(0) if place in places else new.pop(0) for place in range(rounds)]
        clocks = with_kinds(clocks, school_class.reading)
        example = bag.one(self.focus, easy=True).dial if shape.example else None
        practice = bag.one(self.focus, easy=True).dial if shape.practice else None
        moves = MovePicker(conditions=school_class.conditions, age_y=school_class.age_y, seed=self.seed)
        asked = _rounds(clocks, moves)
        lesson = Lesson(
            title=title(self.focus, school_class.language),
            class_name=school_class.name,
            step=self.focus,
            seed=self.seed,
            language=school_class.language,
            second_language=school_class.second_language,
            minutes=self.minutes,
            hall=school_class.hall,
            space_m=school_class.space_m,
            shod=school_class.shod,
            seated=school_class.seated,
            opening=Opening(warm_up=warm_up),
            worked_example=Example(time=example, skip=not shape.example),
            practice=Practice(
                time=practice, moves=moves.for_practice() if shape.practice else (), skip=not shape.practice
            ),
            rounds=asked,
            catch_up=CatchUp(kind="none" if shape.brief else "everyone"),
            close=Close(breaths=_FEW_BREATHS if shape.brief else _breaths(asked[-1].moves)),
        )
        return lesson, tuple(clocks), tuple(bag.again)

    def _run_sheet(self, lesson: Lesson) -> RunSheet:
        return self.stage.run_sheet(lesson, conditions=self.school_class.conditions, confused=self.confused)

    def _decided(self, lesson: Lesson, draft: RunSheet) -> Lesson:
        """Return the lesson with the wrong readings in it that this class is known to confuse."""
        rounds = []
        for each, facts in zip(lesson.rounds, draft.rounds, strict=True):
            shown = facts.mixups and not self.confused.keys().isdisjoint(frozenset().union(*facts.mixups))
            wrong = facts.wrong if shown and facts.question in {"read", "find"} else ()
            rounds.append(replace(each, wrong=wrong))
        return replace(lesson, rounds=tuple(rounds))

    def _random(self, decision: str) -> Random:
        return Random(f"{self.seed}/plan/{decision}")


def _rounds(clocks: Sequence[Clock], moves: MovePicker) -> tuple[Round, ...]:
    """Return the clocks as rounds with their moves; the last one is calm."""
    choosing = sum(clock.kind != "be-the-clock" for clock in clocks)
    working = moves.for_rounds(choosing - 1)
    pairs = iter([*working, moves.calm(working[-1] if working else ())])
    rounds = []
    for clock in clocks:
        pair = () if clock.kind == "be-the-clock" else next(pairs)
        made = Round(kind=clock.kind or "read", time=clock.time, moves=pair)
        if clock.change_minutes is not None:
            made = replace(made, change_minutes=clock.change_minutes)
        rounds.append(made)
    return tuple(rounds)


def _breaths(last_moves: tuple[str, ...]) -> int:
    """Return how many slow breaths make the end calm enough, with or without calm moves before them."""
    calm = last_moves and all(find(slug).kind in {"stretch", "seated"} for slug in last_moves)
    return min(_MOST_BREATHS, math.ceil((CALM_S / 2 if calm else CALM_S) / _BREATH_S))

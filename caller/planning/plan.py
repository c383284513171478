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
from caller.languages.folders import table
from caller.lesson.model import CatchUp, Close, Example, Lesson, Opening, Practice, Round
from caller.moves.catalogue import find
from caller.moves.dose import CALM_S, Dose
from caller.moves.uses import calm as is_calm
from caller.planning.classfile import SchoolClass
from caller.planning.clocks import Clock, ClockBag, Recent
from caller.planning.dosage import lesson_dose
from caller.planning.fitting import NoFitError, fit
from caller.planning.kinds import with_kinds
from caller.planning.lengths import SpokenLengths, total_s
from caller.planning.moves import MovePicker
from caller.planning.shapes import SHAPES, Shape, limits
from caller.planning.sides import fault_of, sides_of
from caller.planning.spacing import return_places, shared_out, steps_to_return_to
from caller.planning.staging import Stage
from caller.planning.warming import active_share, warm_up_moves
from caller.questions import question_kind
from caller.questions.dial import READ
from caller.runsheet.model import RunSheet

_SEEDS: Final = 10_000
_BREATH_S: Final = 7.0
_FEW_BREATHS, _MOST_BREATHS = 2, 8


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
    random_name = f"{school_class.name}/{focus}/{seed}"
    return _Planner(
        school_class, stage, lengths, minutes, focus, random_name, confused, recent, returns
    ).plan()


@dataclass(frozen=True, slots=True)
class _Planner:
    """A lesson in the making; `chance` names its streams of random numbers."""

    school_class: SchoolClass
    stage: Stage
    lengths: SpokenLengths
    minutes: int
    focus: str
    chance: str
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
        for shape in SHAPES:
            try:
                fitted = fit(
                    partial(self._lesson_of, shape, warm_up),
                    lambda lesson: self.lengths.layouts(self._run_sheet(lesson)),
                    seconds=60.0 * self.minutes,
                    limits=limits(
                        shape,
                        minutes=self.minutes,
                        step=self.focus,
                        age_y=school_class.age_y,
                        warm_up_moves=len(warm_up),
                    ),
                    warm_up_share=active_share(warm_up, age_y=school_class.age_y),
                )
            except NoFitError:
                if shape is SHAPES[-1]:
                    raise
                continue
            lesson, clocks, again = self._composed(fitted.rounds, shape, warm_up)
            opening = replace(lesson.opening, warm_up_seconds=fitted.warm_up_s)
            return replace(lesson, think_seconds=fitted.think_s, opening=opening), clocks, again
        raise AssertionError

    def _lesson_of(self, shape: Shape, warm_up: tuple[str, ...], rounds: int) -> Lesson:
        return self._composed(rounds, shape, warm_up)[0]

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
        moves = MovePicker(conditions=school_class.conditions, age_y=school_class.age_y, chance=self.chance)
        asked = _rounds(clocks, moves)
        lesson = Lesson(
            title=table(school_class.language, "titles")[self.focus],
            class_name=school_class.name,
            step=self.focus,
            seed=self._seed(clocks),
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
            close=Close(
                breaths=_FEW_BREATHS if shape.brief else _breaths(asked[-1].moves, school_class.age_y)
            ),
        )
        return lesson, tuple(clocks), tuple(bag.again)

    def _run_sheet(self, lesson: Lesson) -> RunSheet:
        return self.stage.run_sheet(lesson, conditions=self.school_class.conditions, confused=self.confused)

    def _decided(self, lesson: Lesson, draft: RunSheet) -> Lesson:
        """Return the lesson with the wrong readings in it that this class is known to confuse."""
        rounds = []
        for each, facts in zip(lesson.rounds, draft.rounds, strict=True):
            shown = facts.mixups and not self.confused.keys().isdisjoint(frozenset().union(*facts.mixups))
            wrong = facts.wrong if shown and question_kind(facts.question).wrong_kept else ()
            rounds.append(replace(each, wrong=wrong))
        return replace(lesson, rounds=tuple(rounds))

    def _seed(self, clocks: Sequence[Clock]) -> int:
        """Return a seed by which the right choices stand on balanced sides, without a pattern."""
        random = self._random("seed")
        seed = random.randrange(1, _SEEDS)
        while fault_of(sides_of([_chooses(clock) for clock in clocks], seed)):
            seed = random.randrange(1, _SEEDS)
        return seed

    def _random(self, decision: str) -> Random:
        return Random(f"{self.chance}/{decision}")


def _rounds(clocks: Sequence[Clock], moves: MovePicker) -> tuple[Round, ...]:
    """Return the clocks as rounds with their moves; the last one is calm."""
    choosing = sum(map(_chooses, clocks))
    working = moves.for_rounds(choosing - 1)
    pairs = iter([*working, moves.calm(working[-1] if working else ())])
    rounds = []
    for clock in clocks:
        pair = next(pairs) if _chooses(clock) else ()
        made = Round(kind=clock.kind or READ.code, time=clock.time, moves=pair)
        if clock.change_minutes is not None:
            made = replace(made, change_minutes=clock.change_minutes)
        rounds.append(made)
    return tuple(rounds)


def _chooses(clock: Clock) -> bool:
    return question_kind(clock.kind or READ.code).choices != "none"


def _breaths(last_moves: tuple[str, ...], age_y: float) -> int:
    """Return how many slow breaths make the end calm enough, with or without calm moves before them."""
    calm = last_moves and all(is_calm(find(slug), age_y) for slug in last_moves)
    return min(_MOST_BREATHS, math.ceil((CALM_S / 2 if calm else CALM_S) / _BREATH_S))

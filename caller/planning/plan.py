"""Plan one lesson: from a class to a script that fits its period by the words really spoken."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from random import Random
from types import MappingProxyType
from typing import Final

from caller.clock import ClockTime
from caller.deciding import DecidedLesson, DecidedRound
from caller.deciding.sides import fault_of, sides_of
from caller.languages.folders import table
from caller.lesson import CatchUp, Close, Example, Lesson, Practice, Round
from caller.moves.dose import GUIDELINE_SHARE, Dose
from caller.moves.uses import MOST_S
from caller.planning.classfile import SchoolClass
from caller.planning.clocks import (
    Clock,
    ClockBag,
    Recent,
    return_places,
    shared_out,
    steps_to_return_to,
    with_kinds,
)
from caller.planning.dosage import lesson_dose
from caller.planning.fitting import LONGEST_THINK_S, SHAPES, LessonShape, NoFitError, fit, limits
from caller.planning.lengths import SpokenLengths, total_s
from caller.planning.pace import short_of_pace, why_slow, why_still
from caller.planning.staging import Stage
from caller.questions import question_kind
from caller.questions.on_the_dial import READ
from caller.runsheet import RunSheet
from caller.timeline import CallLayout

_SEEDS: Final = 10_000
_FEW_BREATHS, _BREATHS = 2, 4  # of seven seconds: half a minute of calm, and more helps little
_SHORT_MIN: Final = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A planned lesson, and what there is to say about it.

    Attributes
    ----------
    clocks
        The clock of each round, with the step it comes from.
    again
        Clocks that the class has met in the last two weeks, because their step has no others left.
    slow
        Which goals of pace it misses, and why; empty where it misses none.
    still
        Why less than half of it is movement; empty where half is.
    """

    school_class: SchoolClass
    lesson: Lesson
    clocks: tuple[Clock, ...]
    again: tuple[Clock, ...]
    run_sheet: RunSheet
    length_s: float
    dose: Dose
    slow: str
    still: str

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
        lesson = self._written_out(lesson)
        run_sheet = self.stage.run_sheet(lesson)
        layouts = self.lengths.layouts(run_sheet)
        dose = lesson_dose(layouts, age_y=lesson.age)
        short, slow = short_of_pace(lesson, layouts), why_slow(lesson, run_sheet, layouts)
        active = dose.mvpa_share >= GUIDELINE_SHARE
        return Plan(
            school_class=self.school_class,
            lesson=lesson,
            clocks=clocks,
            again=again,
            run_sheet=run_sheet,
            length_s=total_s(layouts),
            dose=dose,
            slow=f"{short}. {slow}" if short else "",
            still="" if active else why_still(lesson, run_sheet, avoid=self.school_class.avoid) or slow,
        )

    def _fitted(self) -> tuple[Lesson, tuple[Clock, ...], tuple[Clock, ...]]:
        """Return the first shape of lesson that fits and is active enough, else the most active."""
        best: tuple[float, LessonShape, Lesson] | None = None
        perform = lru_cache(maxsize=None)(self._performed)  # the same lesson is looked at again and again
        for shape in SHAPES:
            if best is not None and not (shape.enough_rounds and best[1].enough_rounds):
                break  # less of a lesson is only for a period that has room for no more
            try:
                lesson = fit(
                    partial(self._lesson_of, shape),
                    perform,
                    seconds=60.0 * self.minutes,
                    limits=limits(shape, minutes=self.minutes, age_y=self.school_class.age_y),
                )
            except NoFitError:
                if best is None and shape is SHAPES[-1]:
                    raise
                continue
            share = lesson_dose(perform(lesson), age_y=lesson.age).mvpa_share
            if best is None or share > best[0]:
                best = share, shape, lesson
            if share >= GUIDELINE_SHARE or lesson.seated:  # nothing makes a class on chairs move more
                break
        if best is None:
            raise AssertionError
        _, shape, lesson = best
        _, clocks, again = self._composed(len(lesson.rounds), shape)
        return lesson, clocks, again

    def _lesson_of(self, shape: LessonShape, rounds: int) -> Lesson:
        return self._composed(rounds, shape)[0]

    def _composed(
        self, rounds: int, shape: LessonShape
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
        lesson = Lesson(
            title=table(school_class.language, "titles")[self.focus],
            class_name=school_class.name,
            step=self.focus,
            seed=self._seed(clocks),
            language=school_class.language,
            second_language=school_class.second_language,
            minutes=self.minutes,
            age=school_class.age[0],
            hall=school_class.hall,
            space_m=school_class.space_m,
            shod=school_class.shod,
            seated=school_class.seated,
            count_by_ear=school_class.count_by_ear,
            worked_example=Example(time=example, skip=not shape.example),
            practice=Practice(skip=True),
            rounds=tuple(map(_round, clocks)),
            think_seconds=LONGEST_THINK_S if shape.long_bouts else None,
            catch_up=_catch_up(shape),
            calm_last_round=False,
            close=Close(breaths=_FEW_BREATHS if shape.brief or self.minutes < _SHORT_MIN else _BREATHS),
        )
        return lesson, tuple(clocks), tuple(bag.again)

    def _performed(self, lesson: Lesson) -> tuple[CallLayout, ...]:
        return self.lengths.layouts(self.stage.said(self._decided(lesson)))

    def _decided(self, lesson: Lesson) -> DecidedLesson:
        return self.stage.decided(lesson, conditions=self.school_class.conditions, confused=self.confused)

    def _written_out(self, lesson: Lesson) -> Lesson:
        """Return the lesson with its moves, and the wrong readings that this class is known to confuse."""
        decided = self._decided(lesson)
        rounds = tuple(
            replace(each, moves=tuple(move.slug for move in about.moves), wrong=self._known_wrong(about))
            for each, about in zip(lesson.rounds, decided.rounds, strict=True)
        )
        warm_up = tuple(dict.fromkeys(each.move.slug for each in decided.warm_up))
        return replace(lesson, rounds=rounds, opening=replace(lesson.opening, warm_up=warm_up))

    def _known_wrong(self, about: DecidedRound) -> tuple[ClockTime, ...]:
        question = about.question
        mixups = frozenset[str]().union(*(each.mixups for each in question.told_wrong))
        if not question_kind(question.kind).wrong_kept or self.confused.keys().isdisjoint(mixups):
            return ()
        return tuple(each.dial for each in question.told_wrong)

    def _seed(self, clocks: Sequence[Clock]) -> int:
        """Return a seed by which the right choices stand on balanced sides, without a pattern."""
        random = self._random("seed")
        seed = random.randrange(1, _SEEDS)
        while fault_of(sides_of([_chooses(clock) for clock in clocks], seed)):
            seed = random.randrange(1, _SEEDS)
        return seed

    def _random(self, decision: str) -> Random:
        return Random(f"{self.chance}/{decision}")


def _round(clock: Clock) -> Round:
    made = Round(kind=clock.kind or READ.code, time=clock.time)
    if clock.change_minutes is not None:
        made = replace(made, change_minutes=clock.change_minutes)
    return made


def _catch_up(shape: LessonShape) -> CatchUp:
    if shape.brief:
        return CatchUp(kind="none")
    return CatchUp(seconds=MOST_S) if shape.long_bouts else CatchUp()


def _chooses(clock: Clock) -> bool:
    return question_kind(clock.kind or READ.code).choices != "none"

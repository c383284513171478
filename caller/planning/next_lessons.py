"""The right next lesson of a class, by its file and its record, and a term of them up the ladder."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from itertools import islice
from pathlib import Path
from types import MappingProxyType
from typing import Final

from caller.clock import ClockTime
from caller.clock.ladder import STEP_CODES
from caller.errors import CallerError, UserError
from caller.file_reading import is_file
from caller.paths import user_data
from caller.planning.classfile import SchoolClass, read_class
from caller.planning.clocks import NOT_WITHIN_DAYS, Recent, due_after
from caller.planning.lengths import SpokenLengths, lengths_by
from caller.planning.plan import Plan, plan_lesson
from caller.planning.staging import Stage, stage_of
from caller.record.files import record_path
from caller.record.store import Store, recall
from caller.record.telling import next_step
from caller.sound.voice import VoiceBox

FIRST_STEP: Final = "quarters"
"""Where a class without a file begins; its record moves it on from there."""


def class_files() -> Path:
    """Return the folder in which the start screen looks for class files."""
    return user_data() / "classes"


def classes() -> Mapping[str, SchoolClass]:
    """Return the classes that are known here by name: those with a file, then those of the record alone."""
    known: dict[str, SchoolClass] = {}
    for path in sorted(class_files().glob("*.toml")):
        try:
            each = read_class(path)
        except UserError:
            continue  # `hall-caller plan` says what is wrong with it
        known[each.name.casefold()] = each
    for name in _recorded():
        if name:
            known.setdefault(name.casefold(), SchoolClass(name=name, step=FIRST_STEP))
    return {each.name: each for each in known.values()}


def plan_next(
    school_class: SchoolClass, *, minutes: int, voice: VoiceBox, folder: Path | None = None
) -> Plan:
    """Return the next lesson of a class, fitted to `minutes` by the words really spoken.

    The class's own step is where it starts; a step that the record knows to be read well is left behind.

    Parameters
    ----------
    folder
        Where the class file lies, for its hall; the folder of class files if left out.

    Raises
    ------
    UserError
        If no lesson fits the minutes.
    MachineError
        If the record cannot be read.
    """
    shown = recall(school_class.name)
    focus = next_step(shown, school_class.step if school_class.step in STEP_CODES else FIRST_STEP)
    stage = stage_of(school_class.hall, class_files() if folder is None else folder, school_class.name)
    with lengths_by(voice) as lengths:
        return plan_lesson(
            replace(school_class, minutes=minutes),
            stage=stage,
            lengths=lengths,
            minutes=minutes,
            focus=focus,
            seed=1 + len(shown.times_days),  # every lesson held gives the next one another draw
            known=shown.known,
            confused=shown.confused,
            recent=tuple(shown.times_days.items()),
        )


def _recorded() -> tuple[str, ...]:
    try:
        if not is_file(record_path()):
            return ()
        with Store() as store:
            return store.classes()
    except CallerError:
        return ()  # the next lesson's own writing meets it, and says so


@dataclass(frozen=True, slots=True, kw_only=True)
class Timetable:
    """When a class has its lessons.

    Attributes
    ----------
    begin
        The first lesson is on this day, or on the first lesson day after it.
    weekdays
        From 0, a Monday; at least one.
    at
        When a lesson begins, by the clock on the wall; None where that is not told.
    without
        First and last days of times without lessons.
    """

    begin: date
    weekdays: frozenset[int]
    at: time | None = None
    without: tuple[tuple[date, date], ...] = ()

    def days(self, count: int) -> list[date]:
        """Return the days of the first `count` lessons, in order.

        Raises
        ------
        UserError
            If so many do not fit within two years.
        """
        every = (self.begin + timedelta(days) for days in range(_LONGEST_TERM_DAYS))
        found = list(islice(filter(self._has_lesson, every), count))
        if len(found) < count:
            raise UserError(
                f"Within two years there is room for {len(found)} of {count} lessons: leave out fewer days."
            )
        return found

    def _has_lesson(self, day: date) -> bool:
        free = any(first <= day <= last for first, last in self.without)
        return day.weekday() in self.weekdays and not free


WEEKS_ON_A_STEP: Final = 3
"""How long a class stays on a step: common practice, no source; the teacher's eye decides."""

_DAYS_A_WEEK: Final = 7.0
_LONGEST_TERM_DAYS: Final = 2 * 366


@dataclass(frozen=True, slots=True, kw_only=True)
class TermLesson:
    """One lesson of a term.

    Attributes
    ----------
    week, place
        From 1: the week, and which of the week's lessons it is.
    day
        Days after the first lesson.
    returns
        Steps that come back in it.
    """

    week: int
    place: int
    day: float
    returns: tuple[str, ...]
    plan: Plan


def plan_term(
    school_class: SchoolClass,
    *,
    weeks: int,
    per_week: int,
    stage: Stage,
    lengths: SpokenLengths,
    minutes: int | None = None,
    focus: str | None = None,
    seed: int = 1,
    known: Mapping[str, float] = MappingProxyType({}),
    confused: Mapping[str, float] = MappingProxyType({}),
    recent: Recent = (),
    days: Sequence[float] | None = None,
) -> list[TermLesson]:
    """Return the lessons of a term, in order; the other parameters and errors are `plan_lesson`'s.

    Parameters
    ----------
    focus
        The step that the term begins on.
    days
        How many days after the first lesson each is; spread evenly over the weeks if left out.
    """
    steps = steps_of_term(focus or school_class.step, weeks * per_week, per_week)
    below = STEP_CODES[: STEP_CODES.index(steps[0])]
    # What the class knew before the term counts as met in the lesson before the first.
    met = {code: _Met(last=-1, returns=0) for code in below}
    shown: list[tuple[ClockTime, float]] = [(time, -days_ago) for time, days_ago in recent]
    lessons: list[TermLesson] = []
    for index, code in enumerate(steps):
        week, place = divmod(index, per_week)
        day = _DAYS_A_WEEK * (week + place / per_week) if days is None else days[index]
        due = due_after({each: (index - had.last, had.returns) for each, had in met.items() if each != code})
        plan = plan_lesson(
            school_class,
            stage=stage if index == 0 else replace(stage, led_before=True),
            lengths=lengths,
            minutes=minutes,
            focus=code,
            seed=seed + index,
            known=known,
            confused=confused,
            recent=[(time, day - on) for time, on in shown if day - on <= NOT_WITHIN_DAYS],
            returns=due,
        )
        back = tuple(dict.fromkeys(clock.step for clock in plan.clocks if clock.step != code))
        for each in back:
            met[each] = _Met(last=index, returns=met[each].returns + 1)
        met[code] = _Met(last=index, returns=0)
        shown += [(time, day) for time in plan.shown]
        lessons.append(TermLesson(week=week + 1, place=place + 1, day=day, returns=back, plan=plan))
    return lessons


@dataclass(frozen=True, slots=True, kw_only=True)
class _Met:
    """When a step was last met, by the lesson's index, and how often it has come back since."""

    last: int
    returns: int


def steps_of_term(first: str, lessons: int, per_week: int) -> list[str]:
    """Return the step of each lesson: up the ladder from `first`, each for about as long as the others."""
    ladder = STEP_CODES[STEP_CODES.index(first) :]
    count = max(1, min(len(ladder), lessons // (WEEKS_ON_A_STEP * per_week)))
    return [ladder[index * count // lessons] for index in range(lessons)]

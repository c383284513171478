"""The lessons on offer: the teacher's own, and the ready ones in the order in which the clock is learnt."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Final

from caller.clock import ClockTime, DayTime
from caller.clock.ladder import STEPS, Step, ages, step
from caller.errors import UserError
from caller.languages import words
from caller.lesson import Lesson
from caller.lesson.library import own_lessons, read_lesson, ready_lessons
from caller.live.room import Room
from caller.live.start.choosing import choose, tell
from caller.live.words import said, spoken
from caller.planning.next_lessons import classes
from caller.screen.menu import Tile

_HOURS: Final = (3, 8, 1, 10, 5, 11, 6, 4, 2)  # of the dials on the steps' cards, so that no two look alike


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonOffered:
    """A script on offer, and the lesson that it is; or why it cannot be used."""

    path: Path
    lesson: Lesson | None = None
    fault: str = ""


def own_on_offer() -> list[LessonOffered]:
    """Return the teacher's own lessons by name, those that cannot be used with the reason."""
    return [_read(path) for path in own_lessons().values()]


@lru_cache(maxsize=1)
def ready_on_offer() -> dict[str, tuple[LessonOffered, ...]]:
    """Return the ready lessons by the step they are for, the easiest step first; none is of a class."""
    found = [_read(path) for path in ready_lessons().values()]
    return {
        rung.code: tuple(each for each in found if each.lesson is not None and each.lesson.step == rung.code)
        for rung in STEPS
    }


def choose_lesson(room: Room, *, own: bool = True) -> LessonOffered | None:
    """Ask for the step, and for the lesson; None when the teacher goes back."""
    selected = 0
    while True:
        mine = own_on_offer() if own else []
        groups: list[tuple[Tile, Sequence[LessonOffered]]] = [
            (step_tile(rung, _counted(len(ready_on_offer()[rung.code]))), ready_on_offer()[rung.code])
            for rung in STEPS
        ]
        if mine:
            groups.insert(
                0, (Tile(title=said("start.own"), note=_counted(len(mine)), drawing="pencil"), mine)
            )
        taken = choose(
            room,
            [tile for tile, _ in groups],
            title=said("start.which-step"),
            selected=min(selected, len(groups) - 1),
        )
        if taken is None:
            return None
        selected = taken
        found = _choose_of(room, groups[taken][1])
        if found is not None:
            return found


def for_a_class(room: Room, lesson: Lesson) -> Lesson | None:
    """Ask whose lesson it is, where classes are known and the script names none; None to go back.

    Nothing is kept of a lesson that is no class's.
    """
    known = [] if lesson.class_name else list(classes().values())
    if not known:
        return lesson
    tiles = [Tile(title=said("start.no-class"), note=said("start.no-class-note"), drawing="nobody")]
    tiles += [Tile(title=each.name, note=step_name(each.step), drawing="classes") for each in known]
    taken = choose(room, tiles, title=said("start.for-which-class"))
    if taken is None:
        return None
    if taken == 0:
        return lesson
    of = known[taken - 1]
    return replace(lesson, class_name=of.name, count_by_ear=lesson.count_by_ear or of.count_by_ear)


def lesson_tile(offered: LessonOffered, *, named: bool = False) -> Tile:
    """Return a lesson's card: its dial, title, step, age and minutes; with its file's name where asked."""
    lesson = offered.lesson
    if lesson is None:
        return Tile(title=offered.path.name, note=said("start.not-readable"), drawing="nobody")
    rung = step(lesson.step)
    length = said("start.minutes").format(minutes=lesson.minutes) if lesson.minutes else ""
    facts = [step_name(rung.code), said("start.ages").format(ages=ages(rung)), length, lesson.class_name]
    note = " · ".join(fact for fact in facts if fact)
    title = lesson.title or said("start.lesson")
    return Tile(
        title=f"{title} ({offered.path.stem})" if named else title, note=note, time=_first_time(lesson)
    )


def step_tile(rung: Step, note: str = "") -> Tile:
    """Return a step's card: a dial that is read there, its name, the ages, and what else there is to say."""
    facts = [said("start.ages").format(ages=ages(rung)), note]
    return Tile(
        title=step_name(rung.code), note=" · ".join(fact for fact in facts if fact), time=dial_of(rung)
    )


def dial_of(rung: Step) -> ClockTime:
    """Return a time whose dial shows what is new at a step; no two steps have the same."""
    place = STEPS.index(rung)
    before = STEPS[place - 1].minutes if place else ()
    new = [minute for minute in rung.minutes if minute not in before] or rung.minutes
    return ClockTime(_HOURS[place % len(_HOURS)], new[len(new) * 2 // 3])


def step_name(code: str) -> str:
    """Return what a step is called in the language of the screens."""
    return words(spoken(), "titles").say(code)


def _choose_of(room: Room, offered: Sequence[LessonOffered]) -> LessonOffered | None:
    titles = Counter(each.lesson.title for each in offered if each.lesson is not None)
    tiles = [
        lesson_tile(each, named=each.lesson is not None and titles[each.lesson.title] > 1) for each in offered
    ]
    selected = 0
    while True:
        taken = choose(room, tiles, title=said("start.which-lesson"), selected=selected)
        if taken is None:
            return None
        selected = taken
        if offered[taken].lesson is not None:
            return offered[taken]
        tell(room, offered[taken].fault)


def _counted(number: int) -> str:
    return said("start.one-lesson") if number == 1 else said("start.so-many-lessons").format(n=number)


def _first_time(lesson: Lesson) -> ClockTime | None:
    for each in lesson.rounds:
        if isinstance(each.time, ClockTime):
            return each.time
        if isinstance(each.time, DayTime):
            return each.time.dial
    return None


def _read(path: Path) -> LessonOffered:
    try:
        return LessonOffered(path=path, lesson=read_lesson(path))
    except UserError as error:
        return LessonOffered(path=path, fault=str(error).partition("\n")[0])

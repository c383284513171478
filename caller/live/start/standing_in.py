"""Standing in for somebody: what was handed over, or which class and how long, and the lesson is there."""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, TypeVar

from caller.clock.ladder import step
from caller.errors import CallerError
from caller.lesson import Lesson
from caller.live.room import Room
from caller.live.start.by_step import LessonOffered, dial_of, lesson_tile, step_name
from caller.live.start.choosing import choose, tell
from caller.live.words import said
from caller.planning.classfile import SchoolClass
from caller.planning.next_lessons import class_files, classes, plan_next
from caller.screen.menu import Tile

T = TypeVar("T")

MINUTES: Final = (10, 15, 20, 25, 30, 40)
_USUAL_MIN: Final = 20
STEP_AT_AGE: Final = {5: "o-clock", 6: "half-past", 7: "quarters", 8: "fives-to", 9: "minutes", 10: "elapsed"}
"""Where a class begins that nobody tells more of, by the age of its youngest: about a year after standards
expect the step, so that nearly all of it can be read. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonTaken:
    """A lesson, and the folder in which its hall is looked for."""

    lesson: Lesson
    folder: Path


def stand_in(room: Room, handed_over: list[LessonOffered]) -> LessonTaken | None:
    """Ask which class and how long, and return the lesson; None when the teacher goes back.

    Parameters
    ----------
    handed_over
        The lessons that somebody has left for today: one of them is there at once.
    """
    known = list(classes().values())
    tiles = [replace(lesson_tile(each), title=_handed(each)) for each in handed_over]
    tiles += [
        Tile(title=each.name, note=step_name(each.step), time=dial_of(step(each.step))) for each in known
    ]
    tiles.append(
        Tile(title=said("start.another-class"), note=said("start.another-class-note"), drawing="classes")
    )
    chosen = 0
    while True:
        if len(tiles) > 1:
            taken = choose(room, tiles, title=said("start.which-class"), selected=chosen)
            if taken is None:
                return None
            chosen = taken
            if chosen < len(handed_over):
                lesson = handed_over[chosen].lesson
                assert lesson is not None
                return LessonTaken(lesson=lesson, folder=handed_over[chosen].path.parent)
        place = chosen - len(handed_over) if len(tiles) > 1 else len(known)
        school_class = known[place] if place < len(known) else _unknown(room)
        made = None if school_class is None else next_lesson(room, school_class)
        if made is not None or len(tiles) == 1:
            return made


def next_lesson(room: Room, school_class: SchoolClass) -> LessonTaken | None:
    """Ask how long, have the class's next lesson planned, and return it; None when the teacher goes back."""
    nearest = min(range(len(MINUTES)), key=lambda place: abs(MINUTES[place] - school_class.minutes))
    lengths = [Tile(title=said("start.so-long").format(minutes=minutes)) for minutes in MINUTES]
    taken = choose(room, lengths, title=said("start.how-long"), selected=nearest)
    if taken is None:
        return None
    minutes, name = MINUTES[taken], school_class.name
    making = (said("start.making-for") if name else said("start.making")).format(name=name, minutes=minutes)
    try:
        plan = wait_for(room, lambda: plan_next(school_class, minutes=minutes, voice=room.voice), making)
    except CallerError as error:
        tell(room, said("start.no-lesson").format(why=error))
        return None
    return None if plan is None else LessonTaken(lesson=plan.lesson, folder=class_files())


def wait_for(
    room: Room, work: Callable[[], T], title: str, *, share: Callable[[], float | None] = lambda: None
) -> T | None:
    """Have something done beside a page that tells what, and for how long; None when the teacher leaves.

    Parameters
    ----------
    share
        How much of it is done, from 0 to 1, where that is known.
    """
    making: Future[T] = room.background.submit("start", work)
    began_s = time.monotonic()

    def tiles() -> list[Tile]:
        seconds = int(time.monotonic() - began_s)
        still = said("start.making-still").format(seconds=seconds) if seconds > 1 else ""
        return [Tile(title=title, note=still, drawing="making", share=share())]

    while not making.done():
        if choose(room, tiles, title="", back=said("start.leave"), until=making.done) is None:
            break
    if making.done():
        return making.result()
    making.cancel()
    return None


def _unknown(room: Room) -> SchoolClass | None:
    """Ask how old the children are; the class has no name here, is greeted as everybody, and is not kept."""
    ages = list(STEP_AT_AGE)
    tiles = [
        Tile(
            title=said("start.years").format(age=age, next=age + 1),
            note=step_name(STEP_AT_AGE[age]),
            time=dial_of(step(STEP_AT_AGE[age])),
        )
        for age in ages
    ]
    taken = choose(room, tiles, title=said("start.how-old"), selected=2)
    if taken is None:
        return None
    return SchoolClass(
        name="", age=(ages[taken], ages[taken] + 1), step=STEP_AT_AGE[ages[taken]], minutes=_USUAL_MIN
    )


def _handed(offered: LessonOffered) -> str:
    name = offered.lesson.class_name if offered.lesson is not None else ""
    return said("start.handed-over-for").format(name=name) if name else said("start.handed-over")

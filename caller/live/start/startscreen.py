"""The start screen: four pictures, and from each to a lesson, its sound check and its safety points."""

from __future__ import annotations

import time
from dataclasses import replace
from functools import partial
from typing import Final

from caller.errors import UserError
from caller.export.handover import handed_over, readable
from caller.languages.folders import of_this_system
from caller.lesson import Lesson
from caller.live.keeping import CutOff, cut_off, give_up
from caller.live.performance import PlanToLead, plan_of, plan_to_carry_on
from caller.live.performance.performance import Performance
from caller.live.performance.presses import Ending
from caller.live.room import Room
from caller.live.start.by_step import LessonOffered, choose_lesson, for_a_class
from caller.live.start.choosing import choose, show_what_happened, tell
from caller.live.start.my_classes import make_lessons, my_classes
from caller.live.start.standing_in import LessonTaken, stand_in
from caller.live.words import said, speak
from caller.planning.staging import Stage, stage_of
from caller.record.files import LessonRunningError, OneLesson
from caller.screen.menu import Tile

_MOST_HANDED: Final = 4


def start(room: Room) -> None:
    """Lead from four pictures to the end of a lesson, and back, until the teacher leaves."""
    speak(of_this_system())
    held = _only_lesson(room)
    if held is None:
        return
    with held:
        _carry_on(room)
        selected = 0
        while True:
            speak(of_this_system())
            tiles = [
                Tile(title=said("start.lead"), note=said("start.lead-note"), drawing="lead"),
                Tile(
                    title=said("start.standing-in"), note=said("start.standing-in-note"), drawing="substitute"
                ),
                Tile(title=said("start.make"), note=said("start.make-note"), drawing="make"),
                Tile(title=said("start.classes"), note=said("start.classes-note"), drawing="classes"),
            ]
            chosen = choose(
                room, tiles, title=said("start.what-today"), selected=selected, back=said("start.leave")
            )
            if chosen is None:
                return
            selected = chosen
            (_lead_one, _stand_in, make_lessons, _my_classes)[chosen](room)


def _lead_one(room: Room) -> None:
    """Have a lesson chosen, and whose it is, and lead it."""
    offered = choose_lesson(room)
    if offered is None or offered.lesson is None:
        return
    lesson = for_a_class(room, offered.lesson)
    if lesson is not None:
        _lead_taken(room, LessonTaken(lesson=lesson, folder=offered.path.parent))


def _stand_in(room: Room) -> None:
    handed = [
        LessonOffered(path=path, lesson=lesson) for path, lesson in readable(handed_over(now_s=time.time()))
    ]
    taken = stand_in(room, handed[:_MOST_HANDED])
    if taken is not None:
        _lead_taken(room, taken, standing_in=True)


def _my_classes(room: Room) -> None:
    my_classes(room, partial(_lead_taken, room))


def _lead_taken(room: Room, taken: LessonTaken, *, standing_in: bool = False) -> None:
    """Lead a lesson where it happens; what keeps it from being led is told."""
    try:
        stage = stage_of(taken.lesson.hall, taken.folder, taken.lesson.class_name)
        lead(room, taken.lesson, stage, standing_in=standing_in)
    except UserError as error:
        tell(room, str(error))
    finally:
        speak(of_this_system())


def lead(room: Room, lesson: Lesson, stage: Stage, *, standing_in: bool = False) -> None:
    """Check the sound, show the safety points, and run the lesson; going back from the first ends it."""
    sheets = stage.to_lead(lesson)
    place = 0
    while place < len(sheets.before.calls):
        before = replace(sheets.before, calls=(sheets.before.calls[place],))
        asking = PlanToLead(run_sheet=before, confirm_stop=False, waits=True, soon=sheets.lesson)
        ending = Ending.ENDED
        while ending is Ending.ENDED:  # said again until somebody presses on
            ending = Performance(room, asking).run()
        place += -1 if ending is Ending.STOPPED else 1
        if place < 0:
            return
    Performance(room, plan_of(lesson, sheets, standing_in=standing_in)).run()
    show_what_happened(room, lesson.class_name)


def _only_lesson(room: Room) -> OneLesson | None:
    """Hold the place of the one lesson; None where another runs and the teacher leaves."""
    while True:
        try:
            return OneLesson()
        except LessonRunningError:
            tiles = [
                Tile(title=said("start.leave")),
                Tile(title=said("start.look-again"), note=said("start.look-again-note")),
            ]
            if choose(room, tiles, title=said("start.running-already")) != 1:
                return None


def _carry_on(room: Room) -> None:
    """Offer to carry on with a lesson that was cut off."""
    cut = cut_off()
    if cut is None:
        return
    tiles = [_cut_tile(cut), Tile(title=said("start.another"), note=said("start.another-note"))]
    chosen = choose(room, tiles, title=said("start.cut-off"))
    if chosen == 0:
        Performance(room, plan_to_carry_on(cut)).run()
        show_what_happened(room, cut.kept.class_name)
    elif chosen == 1:
        give_up(cut.kept.number)


def _cut_tile(cut: CutOff) -> Tile:
    coming = (dial.time for call in cut.run_sheet.calls[cut.first :] for dial in call.board.dials)
    title = said("start.carry-on-at").format(round=cut.round) if cut.round else said("start.carry-on")
    note = ", ".join(part for part in (cut.kept.class_name, cut.kept.title) if part)
    return Tile(title=title, note=note, time=next((time for time in coming if time is not None), None))

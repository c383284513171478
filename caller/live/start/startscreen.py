"""The start screen: pick a lesson by its picture, check the sound, see the safety points, go."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from caller.clock.times import ClockTime
from caller.errors import UserError
from caller.languages.system import of_this_system
from caller.lesson.library import ready_lessons
from caller.lesson.model import Lesson
from caller.lesson.reading import read_lesson
from caller.live.keeping import CutOff, LessonRecord, cut_off, give_up
from caller.live.performance.modes import Ending
from caller.live.performance.performance import Performance, Plan, first_call
from caller.live.room import Room
from caller.live.start.choosing import choose, show_what_happened
from caller.live.start.standing_in import stand_in
from caller.live.words import said, speak
from caller.paths import user_data
from caller.planning.next_lesson import class_files
from caller.planning.staging import Stage, stage_of
from caller.record.one_lesson import LessonRunningError, OneLesson
from caller.runsheet.model import RunSheet
from caller.runsheet.prelude import prelude
from caller.runsheet.reteach import teaching_again
from caller.screen.menu import Tile


def plan_of(
    lesson: Lesson,
    stage: Stage,
    run_sheet: RunSheet,
    *,
    first_round: int | None = None,
    standing_in: bool = False,
) -> Plan:
    """Return how a lesson is led where it happens; from now on it stands in the record."""
    branches = teaching_again(
        lesson,
        run_sheet,
        delivery=stage.delivery,
        minimum_difference_deg=stage.minimum_difference_deg,
    )
    planned_s = 60.0 * lesson.minutes if lesson.minutes else None
    record = LessonRecord(run_sheet, branches, planned_s=planned_s, stand_in=standing_in)
    return Plan(
        run_sheet=run_sheet, branches=branches, record=record, first=first_call(run_sheet, first_round)
    )


def plan_to_carry_on(cut: CutOff) -> Plan:
    """Return how to carry on with a lesson that was cut off."""
    record = LessonRecord(
        cut.run_sheet,
        cut.branches,
        number=cut.kept.number,
        began_s=cut.kept.began_s,
        stand_in=cut.kept.stand_in,
    )
    return Plan(run_sheet=cut.run_sheet, branches=cut.branches, record=record, first=cut.first)


def lessons_on_offer() -> dict[Path, tuple[Lesson, Stage]]:
    """Return the teacher's own lessons, then the ready ones, each with where it happens.

    Scripts that cannot be read are left out.
    """
    own = sorted((user_data() / "lessons").glob("*.toml"))
    readable: dict[Path, tuple[Lesson, Stage]] = {}
    for path in [*own, *ready_lessons().values()]:
        with suppress(UserError):  # `check` says what is wrong with it; the start screen offers what works
            lesson = read_lesson(path)
            readable[path] = lesson, stage_of(lesson.hall, path.parent)
    return readable


def start(room: Room) -> None:
    """Lead from the picture of a lesson to its end, and back, until the teacher leaves."""
    speak(of_this_system())
    held = _only_lesson(room)
    if held is None:
        return
    with held:
        _carry_on(room)
        selected = 0
        while True:
            speak(of_this_system())
            offered = list(lessons_on_offer().values())
            tiles = [Tile(title=said("start.standing-in"), note=said("start.standing-in-note"))]
            tiles += [_tile(lesson) for lesson, _ in offered]
            chosen = choose(room, tiles, title=said("start.which-lesson"), selected=selected)
            if chosen is None:
                return
            selected = chosen
            if chosen > 0:
                lead(room, *offered[chosen - 1])
                continue
            lesson = stand_in(room)
            if lesson is not None:
                lead(room, lesson, stage_of(lesson.hall, class_files()), standing_in=True)


def lead(room: Room, lesson: Lesson, stage: Stage, *, standing_in: bool = False) -> None:
    """Check the sound, show the safety points, and run the lesson; stopping any of them ends it."""
    run_sheet = stage.run_sheet(lesson)
    before = prelude(lesson, delivery=stage.delivery)
    for call in before.calls:
        asking = Plan(
            run_sheet=replace(before, calls=(call,)), confirm_stop=False, waits=True, soon=run_sheet
        )
        ending = Ending.ENDED
        while ending is Ending.ENDED:  # said again until somebody presses on
            ending = Performance(room, asking).run()
        if ending is Ending.STOPPED:
            return
    Performance(room, plan_of(lesson, stage, run_sheet, standing_in=standing_in)).run()
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


def _tile(lesson: Lesson) -> Tile:
    times = [each.time for each in lesson.rounds if isinstance(each.time, ClockTime)]
    length = said("start.minutes").format(minutes=lesson.minutes) if lesson.minutes else ""
    note = ", ".join(part for part in (lesson.class_name, length) if part)
    return Tile(title=lesson.title or said("start.lesson"), note=note, time=times[0] if times else None)

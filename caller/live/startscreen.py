"""The start screen: pick a lesson by its picture, check the sound, see the safety points, go."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Final

from caller.clock.times import ClockTime
from caller.errors import UserError
from caller.lesson.library import ready_lessons
from caller.lesson.model import Lesson
from caller.lesson.reading import read_lesson
from caller.live.afterwards import show_what_happened
from caller.live.carry_on import CutOff, cut_off, give_up
from caller.live.choosing import choose
from caller.live.leading import for_carrying_on, for_lesson
from caller.live.session import Ending, Options, run
from caller.live.standing_in import stand_in
from caller.live.window import Window
from caller.paths import user_data
from caller.planning.next_lesson import class_files
from caller.planning.staging import Stage, stage_of
from caller.runsheet.prelude import prelude
from caller.screen.menu import Tile
from caller.sound.voice import VoiceBox

TITLE: Final = "Which lesson?"
WAS_CUT_OFF: Final = "This lesson was cut off. Carry on?"
_STAND_IN: Final = Tile(title="I am standing in", note="two questions, and go")


def lessons_on_offer() -> dict[Path, tuple[Lesson, Stage]]:
    """Return the teacher's own lessons, then the ready ones, each with where it happens.

    Scripts that cannot be read are left out.
    """
    own = sorted((user_data() / "lessons").glob("*.toml"))
    readable: dict[Path, tuple[Lesson, Stage]] = {}
    for path in [*own, *ready_lessons().values()]:
        try:
            lesson = read_lesson(path)
            readable[path] = lesson, stage_of(lesson.hall, path.parent)
        except UserError:
            continue  # `hall-caller check` says what is wrong with it; the start screen offers what works
    return readable


def start(window: Window, options: Options) -> None:
    """Lead from the picture of a lesson to its end, and back, until the teacher leaves."""
    selected = 0
    with VoiceBox() as voice:
        _carry_on(window, options, voice)
        while True:
            offered = list(lessons_on_offer().values())
            tiles = [_STAND_IN, *(_tile(lesson) for lesson, _ in offered)]
            chosen = choose(window, tiles, title=TITLE, selected=selected, controls=options.controls)
            if chosen is None:
                return
            selected = chosen
            if chosen > 0:
                lead(*offered[chosen - 1], window, options, voice)
                continue
            lesson = stand_in(window, voice, options.controls)
            if lesson is not None:
                stage = stage_of(lesson.hall, class_files())
                lead(lesson, stage, window, options, voice, standing_in=True)


def lead(
    lesson: Lesson,
    stage: Stage,
    window: Window,
    options: Options,
    voice: VoiceBox,
    *,
    standing_in: bool = False,
) -> None:
    """Check the sound, show the safety points, and run the lesson; stopping any of them ends it."""
    run_sheet = stage.run_sheet(lesson)
    before = prelude(lesson, delivery=stage.delivery)
    asking = replace(options, confirm_stop=False, first_round=None)
    for call in before.calls:
        ending = Ending.ENDED
        while ending is Ending.ENDED:  # said again until somebody presses on
            ending = run(replace(before, calls=(call,)), window, asking, voice, soon=run_sheet)
        if ending is Ending.STOPPED:
            return
    asked = for_lesson(lesson, stage, run_sheet, options, stand_in=standing_in)
    run(run_sheet, window, asked, voice)
    show_what_happened(window, lesson.class_name)


def _carry_on(window: Window, options: Options, voice: VoiceBox) -> None:
    """Offer to carry on with a lesson that was cut off."""
    cut = cut_off()
    if cut is None:
        return
    tiles = [_cut_tile(cut), Tile(title="No", note="choose a lesson")]
    chosen = choose(window, tiles, title=WAS_CUT_OFF, controls=options.controls)
    if chosen == 0:
        run(cut.run_sheet, window, for_carrying_on(cut, options), voice)
        show_what_happened(window, cut.kept.class_name)
    elif chosen == 1:
        give_up(cut.kept.number)


def _cut_tile(cut: CutOff) -> Tile:
    coming = (dial.time for call in cut.run_sheet.calls[cut.first :] for dial in call.board.dials)
    where = f"at clock {cut.round}" if cut.round else "where it stopped"
    note = ", ".join(part for part in (cut.kept.class_name, cut.kept.title) if part)
    return Tile(
        title=f"Carry on {where}", note=note, time=next((time for time in coming if time is not None), None)
    )


def _tile(lesson: Lesson) -> Tile:
    times = [each.time for each in lesson.rounds if isinstance(each.time, ClockTime)]
    length = f"{lesson.minutes} min" if lesson.minutes else ""
    note = ", ".join(part for part in (lesson.class_name, length) if part)
    return Tile(title=lesson.title or "Lesson", note=note, time=times[0] if times else None)

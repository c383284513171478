"""The teacher's classes, what each has shown and its next lesson; and making lessons beside the start
screen.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Final, Literal

from caller.clock.ladder import STEP_CODES, step
from caller.errors import CallerError, MachineError
from caller.export.formats import Progress
from caller.export.handover import START, hand_over, place_for
from caller.hall.hallfile import preset
from caller.live.room import Room
from caller.live.start.by_step import choose_lesson, dial_of, lesson_tile, own_on_offer, step_name
from caller.live.start.choosing import choose, tell
from caller.live.start.standing_in import LessonTaken, next_lesson, wait_for
from caller.live.words import said, spoken
from caller.maker.classes import ClassMade
from caller.maker.process import ProgramBeside, check_extra, install_command
from caller.planning.classfile import SchoolClass
from caller.planning.next_lessons import FIRST_STEP, classes
from caller.record.knowledge import Knowledge
from caller.record.store import Store, recall
from caller.record.telling import next_step
from caller.screen.menu import Tile

_MOST_TOLD: Final = 300


def make_lessons(room: Room) -> None:
    """Ask what to begin from, and open the maker, until the teacher goes back."""
    selected = 0
    while True:
        own = [each for each in own_on_offer() if each.lesson is not None]
        tiles = [
            Tile(title=said("start.new-lesson"), note=said("start.new-lesson-note"), drawing="new"),
            Tile(title=said("start.from-ready"), note=said("start.from-ready-note"), drawing="lead"),
            *(lesson_tile(each, named=True) for each in own),
        ]
        taken = choose(room, tiles, title=said("start.make"), selected=min(selected, len(tiles) - 1))
        if taken is None:
            return
        selected = taken
        if taken == 0:
            open_maker(room)
        elif taken > 1:
            open_maker(room, str(own[taken - 2].path))
        elif (ready := choose_lesson(room, own=False)) is not None:
            open_maker(room, str(ready.path))


def open_maker(room: Room, *words: str) -> None:
    """Open the maker and come back when it is closed; tell the one command where it is not installed."""
    try:
        check_extra()
    except MachineError:
        tell(room, said("start.maker-missing").format(command=install_command()))
        return
    if room.controls.single_switch and "--class" not in words:
        words += ("--one-button",)
    maker = ProgramBeside("make", *words, surroundings={"LANGUAGE": spoken()})
    room.screen.step_aside()
    tiles = [Tile(title=said("start.maker-open"), drawing="make")]
    while not maker.ended():
        if choose(room, tiles, title="", until=maker.ended) is None and not maker.ended():
            return  # it stays open in its own window
    if maker.exit_code:
        tell(room, (maker.complaint() or said("start.maker-ended"))[:_MOST_TOLD])


_MADE: Final = ("lesson.toml", "lesson.html", "lesson.pdf")
"""What a folder takes its time for, in order."""


def my_classes(room: Room, lead: Callable[[LessonTaken], None]) -> None:
    """Show the classes, and what can be done with each, until the teacher goes back.

    Parameters
    ----------
    lead
        Leads a lesson that was planned here.
    """
    selected = 0
    while True:
        known = list(classes().values())
        tiles = [
            Tile(title=each.name, note=_facts(each), time=dial_of(step(_next(each, recall(each.name)))))
            for each in known
        ]
        tiles.append(Tile(title=said("start.new-class"), note=said("start.new-class-note"), drawing="new"))
        taken = choose(room, tiles, title=said("start.classes"), selected=min(selected, len(tiles) - 1))
        if taken is None:
            return
        selected = taken
        if taken == len(known):
            open_maker(room, "--class", "")
        else:
            _one_class(room, known[taken], lead)


def _one_class(room: Room, of: SchoolClass, lead: Callable[[LessonTaken], None]) -> None:
    """Offer what can be done with a class, until the teacher goes back."""
    selected = 0
    while True:
        of = classes().get(of.name, of)
        knowledge = recall(of.name)
        coming = _next(of, knowledge)
        tiles = [
            Tile(title=said("start.next-lesson"), note=_facts(of, coming), time=dial_of(step(coming))),
            Tile(title=said("start.shown"), note=said("start.shown-note"), drawing="record"),
            Tile(title=said("start.hand-over"), note=said("start.hand-over-note"), drawing="folder"),
            Tile(title=said("start.change-class"), note=said("start.change-class-note"), drawing="pencil"),
            Tile(title=said("start.hall"), note=said("start.hall-note"), drawing="hall"),
            Tile(title=said("start.forget"), note=said("start.forget-note"), drawing="forget"),
        ]
        taken = choose(room, tiles, title=of.name, selected=selected)
        if taken is None:
            return
        selected = taken
        match taken:
            case 0:
                lesson = next_lesson(room, of)
                if lesson is not None:
                    lead(lesson)
            case 1:
                _show_known(room, of.name, knowledge)
            case 2:
                _hand_over(room, of)
            case 3:
                open_maker(room, "--class", of.name)
            case 4:
                _ask_for_hall(room, of.name)
            case _:
                _forget(room, of.name)


def _show_known(room: Room, name: str, knowledge: Knowledge) -> None:
    """Show each step that was counted, as its dial and the share of the class that reads it today."""
    tiles = [
        Tile(
            title=step_name(code),
            note=said("start.known-by").format(share=round(100 * share)),
            time=dial_of(step(code)),
            share=share,
        )
        for code, share in sorted(knowledge.known.items(), key=lambda each: STEP_CODES.index(each[0]))
    ]
    if not tiles:
        tell(room, said("start.nothing-counted"))
        return
    while choose(room, tiles, title=said("start.shown-of").format(name=name)) is not None:
        pass  # there is nothing to take here: it is a picture


def _hand_over(room: Room, of: SchoolClass) -> None:
    """Make the folder beside a page that shows how far it is; it can be left."""
    target = place_for(of, datetime.now().astimezone().date().isoformat())
    done = [0.0]

    def progress(name: str) -> Progress:
        if name not in _MADE:
            return lambda _share: None
        place = _MADE.index(name)

        def told(share: float) -> None:
            done[0] = (place + share) / len(_MADE)

        return told

    def make() -> bool:
        hand_over(of, target, voice=room.voice, progress=progress)
        return True

    try:
        made = wait_for(room, make, said("start.handing").format(name=of.name), share=lambda: done[0])
    except CallerError as error:
        tell(room, str(error))
        return
    if made:
        tell(room, said("start.handed").format(folder=target, start=START))


_LENGTHS: Final = (0.6, 0.8, 1.0, 1.25, 1.5)
"""How long a hall may be, as shares of the ready-made one that is like it."""

_ROWS: Final = (0.4, 0.55, 0.7, 0.85)
"""Where the last row may stand, as shares of the hall's length."""

_KINDS_OF_HALL: Final = {
    "classroom": 0.5,
    "small-hall": 0.65,
    "old-gym": 0.75,
    "gym": 0.85,
    "treated-gym": 0.85,
    "sports-hall": 1.0,
}
"""The ready-made halls, each with how large it is drawn."""

_SCREENS: Final = {
    "laptop": ("diagonal_inches = 15", 0.35),
    "television": ("diagonal_inches = 65", 0.6),
    "projector": ("image_height_m = 1.5", 0.8),
    "wall": ("image_height_m = 2.5", 1.0),
}
_SPEAKERS: Final = {
    "laptop": ('kind = "laptop"\nlevel_at_1m_dba = 68', 0.35),
    "small-box": ('kind = "small-box"\nlevel_at_1m_dba = 72', 0.55),
    "pa-box": ('kind = "pa-box"\nlevel_at_1m_dba = 82', 0.8),
    "column": ('kind = "column"\nlevel_at_1m_dba = 85', 1.0),
}
"""What a screen or a loudspeaker is in a hall file, and how large it is drawn. The levels are those of the
ready-made halls with such a loudspeaker; the laptop's is common practice, no source."""

HallAnswers = dict[str, int]
"""The number of the tile that was taken, by question."""


def _ask_for_hall(room: Room, name: str) -> None:
    """Ask five things about the hall of a class, and keep what comes of it beside the class file."""
    answers: HallAnswers = {}
    asked = 0
    while asked < len(_HALL_QUESTIONS):
        key, tiles_of, usual = _HALL_QUESTIONS[asked]
        title = f"{asked + 1} / {len(_HALL_QUESTIONS)}  {said(f'start.hall-{key}')}"
        taken = choose(room, tiles_of(answers), title=title, selected=answers.get(key, usual))
        if taken is None:
            if asked == 0:
                return
            asked -= 1
            continue
        answers[key] = taken
        asked += 1
    try:
        ClassMade(name).save_hall(hall_of(answers, name))
    except CallerError as error:
        tell(room, str(error))
        return
    tell(room, said("start.hall-kept").format(name=name))


def hall_of(answers: HallAnswers, name: str) -> str:
    """Return the hall file that the answers make."""
    screen, _ = list(_SCREENS.values())[answers["screen"]]
    speaker, _ = list(_SPEAKERS.values())[answers["speaker"]]
    kind = list(_KINDS_OF_HALL)[answers["kind"]]
    return (
        f"# The hall of {name}, by five questions. Change what you have measured.\n"
        f'like = "{kind}"\nlength_m = {_lengths_of(answers)[answers["length"]]}\n\n'
        f"[screen]\n{screen}\nlast_row_m = {_rows_of(answers)[answers['row']]}\n\n"
        f"[speaker]\n{speaker}\n"
    )


def _lengths_of(answers: HallAnswers) -> list[int]:
    usual = preset(list(_KINDS_OF_HALL)[answers["kind"]]).length_m
    return [round(share * usual) for share in _LENGTHS]


def _rows_of(answers: HallAnswers) -> list[int]:
    return [max(2, round(share * _lengths_of(answers)[answers["length"]])) for share in _ROWS]


def _metres(numbers: Sequence[int], drawing: Literal["hall", "rows"]) -> list[Tile]:
    return [
        Tile(title=said("start.metres").format(n=number), drawing=drawing, scale=number / max(numbers))
        for number in numbers
    ]


def _sized(
    of: str, drawing: Literal["screen", "louder"], sizes: Mapping[str, tuple[str, float]]
) -> list[Tile]:
    return [
        Tile(title=said(f"start.{of}-{name}"), drawing=drawing, scale=scale)
        for name, (_, scale) in sizes.items()
    ]


def _kinds(_answers: HallAnswers) -> list[Tile]:
    return [
        Tile(
            title=said(f"start.kind-{name}"),
            note=said("start.metres").format(n=f"{preset(name).length_m:g} × {preset(name).width_m:g}"),
            drawing="hall",
            scale=scale,
        )
        for name, scale in _KINDS_OF_HALL.items()
    ]


_HALL_QUESTIONS: Final[tuple[tuple[str, Callable[[HallAnswers], list[Tile]], int], ...]] = (
    ("kind", _kinds, 3),
    ("length", lambda answers: _metres(_lengths_of(answers), "hall"), 2),
    ("screen", lambda _answers: _sized("screen", "screen", _SCREENS), 2),
    ("speaker", lambda _answers: _sized("speaker", "louder", _SPEAKERS), 2),
    ("row", lambda answers: _metres(_rows_of(answers), "rows"), 1),
)
"""What is asked, the pictures to choose from, and which of them is usual."""


def _forget(room: Room, name: str) -> None:
    """Take the class out of the record once that is confirmed; its class file stays."""
    tiles = [
        Tile(title=said("start.keep"), drawing="back"),
        Tile(title=said("start.forget-now"), note=said("start.forget-now-note"), drawing="forget"),
    ]
    if choose(room, tiles, title=said("start.forget-sure").format(name=name)) != 1:
        return
    try:
        with Store() as store:
            gone = store.forget(name)
    except CallerError as error:
        tell(room, str(error))
        return
    tell(room, said("start.forgotten").format(n=gone))


def _next(of: SchoolClass, knowledge: Knowledge) -> str:
    return next_step(knowledge, of.step if of.step in STEP_CODES else FIRST_STEP)


def _facts(of: SchoolClass, coming: str = "") -> str:
    length = said("start.minutes").format(minutes=of.minutes)
    return " · ".join((step_name(coming or of.step), length))

"""The teacher's classes, what each has shown and its next lesson; and making lessons beside the start
screen.
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable
from datetime import datetime
from tempfile import TemporaryFile
from typing import Final

from caller.clock.ladder import STEP_CODES, step
from caller.errors import CallerError, MachineError
from caller.export.formats import Progress
from caller.export.handover import START, hand_over, place_for
from caller.live.room import Room
from caller.live.start.by_step import choose_lesson, dial_of, lesson_tile, own_on_offer, step_name
from caller.live.start.choosing import choose, tell
from caller.live.start.standing_in import LessonTaken, next_lesson, wait_for
from caller.live.words import said, spoken
from caller.maker.process import check_extra, command_of_maker, install_command
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
    with TemporaryFile() as complaints:
        maker = subprocess.Popen(
            command_of_maker(*words), env=os.environ | {"LANGUAGE": spoken()}, stderr=complaints
        )

        def ended() -> bool:
            return maker.poll() is not None

        room.screen.step_aside()
        tiles = [Tile(title=said("start.maker-open"), drawing="make")]
        while not ended():
            if choose(room, tiles, title="", until=ended) is None and not ended():
                return  # it stays open in its own window
        complaints.seek(0)
        complained = complaints.read().decode(errors="replace").strip().splitlines()
    if maker.returncode:
        tell(room, (complained[-1] if complained else said("start.maker-ended"))[:_MOST_TOLD])


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

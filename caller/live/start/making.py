"""Making a lesson: the maker in a window and a process of its own, while the start screen waits behind it."""

from __future__ import annotations

import os
import subprocess
from typing import Final

from caller.errors import MachineError
from caller.live.room import Room
from caller.live.start.by_step import choose_lesson, lesson_tile, own_on_offer
from caller.live.start.choosing import choose, tell
from caller.live.words import said, spoken
from caller.maker.process import check_extra, command_of_maker, install_command
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
    maker = subprocess.Popen(
        command_of_maker(*words), env=os.environ | {"LANGUAGE": spoken()}, stderr=subprocess.PIPE
    )
    ended = room.background.submit("maker", lambda: maker.communicate()[1])
    room.screen.step_aside()
    tiles = [Tile(title=said("start.maker-open"), drawing="make")]
    while not ended.done():
        if choose(room, tiles, title="", until=ended.done) is None and not ended.done():
            return  # it stays open in its own window
    if maker.returncode:
        complained = ended.result().decode(errors="replace").strip().splitlines()
        tell(room, (complained[-1] if complained else said("start.maker-ended"))[:_MOST_TOLD])

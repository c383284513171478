"""Standing in for somebody: which class, how many minutes, and the lesson is there."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import Final

from caller.clock.ladder import step, times_at
from caller.errors import CallerError
from caller.lesson.model import Lesson
from caller.live.performance.performance import with_keys
from caller.live.room import Room
from caller.live.start.choosing import choose
from caller.live.window import KeyPress
from caller.live.words import said
from caller.planning.classfile import SchoolClass
from caller.planning.next_lesson import classes, plan_next
from caller.runsheet.model import Board
from caller.screen.keytable import Action
from caller.screen.menu import Tile
from caller.screen.scene import Scene

MINUTES: Final = (10, 15, 20, 25, 30, 40)
_FRAME_S: Final = 1 / 30
_WORKER: Final = "planning"


def stand_in(room: Room) -> Lesson | None:
    """Ask the two questions and return the lesson; None when the teacher leaves."""
    known = list(classes().values())
    tiles = [
        Tile(title=each.name, note=step(each.step).name, time=times_at(step(each.step))[-1]) for each in known
    ]
    tiles.append(Tile(title=said("start.another-class"), note=said("start.another-class-note")))
    chosen = choose(room, tiles, title=said("start.which-class"))
    if chosen is None:
        return None
    # A class that has no name here is greeted as everybody, and no class is kept of it.
    school_class = known[chosen] if chosen < len(known) else SchoolClass(name="")
    nearest = min(range(len(MINUTES)), key=lambda place: abs(MINUTES[place] - school_class.minutes))
    lengths = [Tile(title=said("start.so-long").format(minutes=minutes)) for minutes in MINUTES]
    taken = choose(room, lengths, title=said("start.how-long"), selected=nearest)
    if taken is None:
        return None
    try:
        return _made(room, school_class, MINUTES[taken])
    except CallerError as error:
        choose(room, [Tile(title=said("start.back"))], title=said("start.no-lesson").format(why=error))
        return None


def _made(room: Room, school_class: SchoolClass, minutes: int) -> Lesson | None:
    """Have the lesson planned beside the picture, which tells that it is; None when the teacher leaves."""
    name = school_class.name
    making = (said("start.making-for") if name else said("start.making")).format(name=name, minutes=minutes)
    scene = Scene(board=Board(layout="title", title=making, move="slow-breaths"))
    planning = room.background.submit(
        _WORKER, lambda: plan_next(school_class, minutes=minutes, voice=room.voice)
    )
    began_s = time.monotonic()
    while not planning.done():
        seconds = int(time.monotonic() - began_s)
        still = with_keys(said("start.making-still").replace("{seconds}", str(seconds)), room.controls)
        room.screen.show(replace(scene, caption=still if seconds else "", move_s=time.monotonic() - began_s))
        for pressed in room.screen.inputs():
            if isinstance(pressed, KeyPress) and room.controls.keys.get(pressed.key) is Action.QUIT:
                return None
        time.sleep(_FRAME_S)
    return planning.result().lesson

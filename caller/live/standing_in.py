"""Standing in for somebody: which class, how many minutes, and the lesson is there."""

from __future__ import annotations

from typing import Final

from caller.clock.ladder import step, times_at
from caller.errors import CallerError
from caller.lesson.model import Lesson
from caller.live.choosing import choose
from caller.live.remap import Controls
from caller.live.window import Window
from caller.planning.classfile import SchoolClass
from caller.planning.next_lesson import classes, plan_next
from caller.runsheet.model import Board
from caller.screen.menu import Tile
from caller.screen.scene import Scene
from caller.sound.voice import VoiceBox

WHICH_CLASS: Final = "Which class?"
HOW_LONG: Final = "How many minutes are there?"
MINUTES: Final = (10, 15, 20, 25, 30, 40)
_MAKING: Final = "One moment: a lesson of {minutes} minutes is being made for the {name}."
_FAILED: Final = "No lesson came out: {why} Take a ready lesson instead."
_ANOTHER: Final = Tile(title="Another class", note="begins with the quarters")


def stand_in(window: Window, voice: VoiceBox, controls: Controls) -> Lesson | None:
    """Ask the two questions and return the lesson; None when the teacher leaves."""
    known = list(classes().values())
    tiles = [
        Tile(title=each.name, note=step(each.step).name, time=times_at(step(each.step))[-1]) for each in known
    ]
    chosen = choose(window, [*tiles, _ANOTHER], title=WHICH_CLASS, controls=controls)
    if chosen is None:
        return None
    school_class = known[chosen] if chosen < len(known) else SchoolClass(name="Your class")
    nearest = min(range(len(MINUTES)), key=lambda place: abs(MINUTES[place] - school_class.minutes))
    lengths = [Tile(title=f"{minutes} minutes") for minutes in MINUTES]
    taken = choose(window, lengths, title=HOW_LONG, selected=nearest, controls=controls)
    if taken is None:
        return None
    name, minutes = school_class.name, MINUTES[taken]
    making = _MAKING.format(name=name, minutes=minutes)
    window.show(Scene(board=Board(layout="title", title=making, move="slow-breaths")))
    try:
        return plan_next(school_class, minutes=minutes, voice=voice).lesson
    except CallerError as error:
        choose(window, [Tile(title="Back")], title=_FAILED.format(why=error), controls=controls)
        return None

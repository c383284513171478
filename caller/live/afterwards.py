"""After a lesson: what happened, for whoever led it and for the teacher who comes back."""

from __future__ import annotations

from typing import Final

from caller.errors import MachineError
from caller.live.choosing import show_until_pressed
from caller.live.window import Window
from caller.record.store import Store
from caller.record.telling import what_happened
from caller.runsheet.model import Board
from caller.screen.scene import Scene

GO_ON: Final = "Any button: back to the start."


def show_what_happened(window: Window, class_name: str) -> None:
    """Show the class's last lesson in a few lines until a button is pressed; nothing where none is kept."""
    try:
        with Store() as store:
            lessons = store.lessons(class_name)
    except MachineError:
        return  # the lesson itself said so
    if not lessons:
        return
    title = ": ".join(part for part in (class_name, lessons[-1].title) if part) or "This lesson"
    board = Board(layout="points", title=title, points=what_happened(lessons[-1]), move="slow-breaths")
    show_until_pressed(window, Scene(board=board, caption=GO_ON))

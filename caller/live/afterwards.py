"""After a lesson: what happened, for whoever led it and for the teacher who comes back."""

from __future__ import annotations

from typing import Final

from caller.errors import MachineError
from caller.live.choosing import choose
from caller.live.remap import Controls
from caller.live.window import Window
from caller.record.store import Store
from caller.record.telling import what_happened
from caller.screen.menu import Tile

DONE: Final = "Done"


def show_what_happened(window: Window, class_name: str, controls: Controls) -> None:
    """Show the class's last lesson in a few lines until a button is pressed; nothing where none is kept."""
    try:
        with Store() as store:
            lessons = store.lessons(class_name)
    except MachineError:
        return  # the lesson itself said so
    if not lessons:
        return
    title = " ".join(what_happened(lessons[-1]))
    choose(window, [Tile(title=DONE, note=class_name)], title=title, controls=controls)

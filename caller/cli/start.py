"""`hall-caller` alone: the start screen."""

from __future__ import annotations

from caller.live.remap import controls_of
from caller.live.session import Options
from caller.live.startscreen import start
from caller.live.window import Window


def run() -> int:
    """Show the start screen until the teacher leaves."""
    options = Options(controls=controls_of())
    window = Window()
    try:
        start(window, options)
    finally:
        window.close()
    return 0

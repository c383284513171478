"""Keys and hand-held presenters: what each button means.

Presenters act as keyboards. Most send page down and page up for their two large buttons, a full
stop or the letter b for "blank the screen", and F5 or Escape for "start" and "stop" (common
practice, no source).
"""

from __future__ import annotations

from enum import Enum
from types import MappingProxyType


class Action(Enum):
    """What the teacher can ask for while a lesson runs; the value is its short description."""

    PAUSE = "pause, or go on from the start of the call"
    REPEAT = "say the call again; in think time, the question and the choices again"
    NEXT = "go on to the next call"
    BACK = "go back one call"
    MORE_TIME = "ten more seconds to think"
    LOUDER = "louder"
    SOFTER = "softer"
    THEME = "light or dark screen"
    FULL_SCREEN = "full screen or window"
    HELP = "show or hide the keys"
    QUIT = "stop the lesson (asks first)"


KEYS = MappingProxyType(
    {
        "space": Action.PAUSE,
        "b": Action.PAUSE,
        ".": Action.PAUSE,
        "f5": Action.PAUSE,
        "r": Action.REPEAT,
        "home": Action.REPEAT,
        "page down": Action.NEXT,
        "right": Action.NEXT,
        "return": Action.NEXT,
        "page up": Action.BACK,
        "left": Action.BACK,
        "t": Action.MORE_TIME,
        "up": Action.LOUDER,
        "+": Action.LOUDER,
        "=": Action.LOUDER,
        "down": Action.SOFTER,
        "-": Action.SOFTER,
        "l": Action.THEME,
        "f": Action.FULL_SCREEN,
        "f11": Action.FULL_SCREEN,
        "h": Action.HELP,
        "f1": Action.HELP,
        "escape": Action.QUIT,
        "q": Action.QUIT,
    }
)
"""Key names as pygame gives them, and what they do."""


def action_for(key_name: str) -> Action | None:
    """Return what the key called `key_name` (as pygame names it) asks for, if anything."""
    return KEYS.get(key_name.lower())


def keys_for(action: Action) -> tuple[str, ...]:
    """Return the names of the keys that ask for `action`, the commonest first."""
    return tuple(name for name, meaning in KEYS.items() if meaning is action)

"""Keys, hand-held presenters and game pads: what each button means.

Presenters act as keyboards. Most send page down and page up for their two large buttons, a full
stop or the letter b for "blank the screen", and F5 or Escape for "start" and "stop" (common
practice, no source). Pads differ in how they number their buttons; a teacher can give any button
another meaning in the file `keys.toml` (see `caller.live.remap`).
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from types import MappingProxyType
from typing import Final


class Action(Enum):
    """What the teacher can ask for while a lesson runs; the value is its short description."""

    PAUSE = "pause, or go on from the start of the call"
    REPEAT = "say the call again; in think time, the question and the choices again"
    NEXT = "go on to the next call"
    BACK = "go back one call"
    MORE_TIME = "ten more seconds to think"
    MOST = "after an answer: most had it"
    HALF = "after an answer: about half had it"
    FEW = "after an answer: few had it, so teach it again now"
    LOUDER = "louder"
    SOFTER = "softer"
    THEME = "light or dark screen"
    FULL_SCREEN = "full screen or window"
    HELP = "show or hide the keys"
    QUIT = "stop the lesson (asks first)"


KEYS: Final[Mapping[str, Action]] = MappingProxyType(
    {
        "space": Action.PAUSE,
        "b": Action.PAUSE,
        ".": Action.PAUSE,
        "f5": Action.PAUSE,
        "pad 2": Action.PAUSE,
        "r": Action.REPEAT,
        "home": Action.REPEAT,
        "pad 3": Action.REPEAT,
        "page down": Action.NEXT,
        "right": Action.NEXT,
        "return": Action.NEXT,
        "pad 1": Action.NEXT,
        "pad right": Action.NEXT,
        "page up": Action.BACK,
        "left": Action.BACK,
        "pad left": Action.BACK,
        "t": Action.MORE_TIME,
        "pad 4": Action.MORE_TIME,
        "m": Action.MOST,
        "f2": Action.MOST,
        "pad 6": Action.MOST,
        "a": Action.HALF,
        "f3": Action.HALF,
        "n": Action.FEW,
        "f4": Action.FEW,
        "pad 5": Action.FEW,
        "up": Action.LOUDER,
        "+": Action.LOUDER,
        "=": Action.LOUDER,
        "pad up": Action.LOUDER,
        "down": Action.SOFTER,
        "-": Action.SOFTER,
        "pad down": Action.SOFTER,
        "l": Action.THEME,
        "f": Action.FULL_SCREEN,
        "f11": Action.FULL_SCREEN,
        "h": Action.HELP,
        "f1": Action.HELP,
        "escape": Action.QUIT,
        "q": Action.QUIT,
    }
)
"""Key names as pygame gives them ("pad 1" is the first button of a game pad), and what they do."""

AFTER_AN_ANSWER: Final[Mapping[str, Action]] = MappingProxyType(
    {"page down": Action.MOST, "page up": Action.FEW}
)
"""What a presenter's two buttons mean once, from an answer to the end of its round; pressed again there, they
go on and back as ever."""

TALLIES: Final = frozenset({Action.MOST, Action.HALF, Action.FEW})

NAMES_OF_KEYS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "page down": "Page down",
        "page up": "Page up",
        ".": "Full stop",
        "up": "Arrow up",
        "down": "Arrow down",
        "left": "Arrow left",
        "right": "Arrow right",
        "return": "Enter",
    }
)
"""What is printed on a button, where that is not its name."""


def keys_for(action: Action, keys: Mapping[str, Action] = KEYS) -> tuple[str, ...]:
    """Return the names of the keys that ask for `action`, the commonest first."""
    return tuple(name for name, meaning in keys.items() if meaning is action)


def digit_of(key_name: str) -> int | None:
    """Return the digit on a key, of the keypad too, if it has one."""
    name = key_name.removeprefix("[").removesuffix("]")
    return int(name) if len(name) == 1 and name in "0123456789" else None


def label_of(key_name: str) -> str:
    """Return what a button is called on a page for people."""
    plain = key_name.capitalize() if len(key_name) > 1 else key_name.upper()
    return NAMES_OF_KEYS.get(key_name, plain)

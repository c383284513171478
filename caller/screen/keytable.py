"""What the teacher can ask for, and the buttons that ask for it: the one table of them.

The hall, its key page and notices, the sheet for a substitute, the web page and docs/keys.md all read it.

Presenters act as keyboards. Most send page down and page up for their two large buttons, a full
stop or the letter b for "blank the screen", and F5 or Escape for "start" and "stop" (common
practice, no source). Pads differ in how they number their buttons; a teacher can give any button
another meaning (`caller.live.keys`).
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from types import MappingProxyType
from typing import Final


class Action(Enum):
    """What the teacher can ask for while a lesson runs; the value is its short description."""

    PAUSE = "pause, or go on from the start of the call"
    REPEAT = "say it again, with the choices"
    NEXT = "go on to what is said next"
    BACK = "go back to what was said before"
    NEXT_PART = "go on to the next part of the lesson"
    MORE_TIME = "ten more seconds to think"
    MOST = "after an answer: most had it"
    HALF = "after an answer: about half had it"
    FEW = "after an answer: few had it, teach it again"
    UNDO = "take back the last count"
    CLAPS = "count by claps, or no longer"
    LOUDER = "louder"
    SOFTER = "softer"
    PICTURE_LATER = "picture a little later"
    PICTURE_EARLIER = "picture a little earlier"
    PICTURE = "show or hide the picture test"
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
        "return": Action.NEXT,
        "right": Action.NEXT,
        "page down": Action.NEXT,
        "enter": Action.NEXT,
        "pad 1": Action.NEXT,
        "pad right": Action.NEXT,
        "left": Action.BACK,
        "page up": Action.BACK,
        "pad left": Action.BACK,
        "s": Action.NEXT_PART,
        "end": Action.NEXT_PART,
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
        "u": Action.UNDO,
        "backspace": Action.UNDO,
        "c": Action.CLAPS,
        "up": Action.LOUDER,
        "+": Action.LOUDER,
        "=": Action.LOUDER,
        "pad up": Action.LOUDER,
        "down": Action.SOFTER,
        "-": Action.SOFTER,
        "pad down": Action.SOFTER,
        "d": Action.PICTURE_LATER,
        "e": Action.PICTURE_EARLIER,
        "p": Action.PICTURE,
        "l": Action.THEME,
        "f": Action.FULL_SCREEN,
        "f11": Action.FULL_SCREEN,
        "h": Action.HELP,
        "f1": Action.HELP,
        "escape": Action.QUIT,
        "q": Action.QUIT,
    }
)
"""Key names as pygame gives them ("pad 1" is the first button of a game pad, "enter" the number pad's), and
what they do."""

TALLIES: Final = frozenset({Action.MOST, Action.HALF, Action.FEW})

ARROWS: Final[Mapping[str, str]] = MappingProxyType({"right": "→", "left": "←", "up": "↑", "down": "↓"})

NAMES_OF_KEYS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "page down": "Page down",
        "page up": "Page up",
        ".": "Full stop",
        "return": "Enter",
        "enter": "Enter (number pad)",
        **ARROWS,
    }
)
"""What is printed on a button, where that is not its name."""

_BROWSER_NAMES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "space": " ",
        "return": "Enter",
        "page down": "PageDown",
        "page up": "PageUp",
        "right": "ArrowRight",
        "left": "ArrowLeft",
        "home": "Home",
        "end": "End",
        "escape": "Escape",
        "f5": "F5",
    }
)
"""Named values of `KeyboardEvent.key`: W3C, UI Events KeyboardEvent key Values, sections 3.1 to 3.9."""


def keys_for(action: Action, keys: Mapping[str, Action] = KEYS) -> tuple[str, ...]:
    """Return the names of the keys that ask for `action`, the commonest first."""
    return tuple(name for name, meaning in keys.items() if meaning is action)


def digit_of(key_name: str) -> int | None:
    """Return the digit on a key, of the keypad too, if it has one."""
    name = key_name.removeprefix("[").removesuffix("]")
    return int(name) if len(name) == 1 and name in "0123456789" else None


def label_of(key_name: str) -> str:
    """Return what a button is called on a page for people."""
    if key_name.startswith("pad "):
        side = key_name.removeprefix("pad ")
        return f"Game pad {ARROWS.get(side, side)}"
    plain = key_name.capitalize() if len(key_name) > 1 else key_name.upper()
    return NAMES_OF_KEYS.get(key_name, plain)


def label_for(action: Action, keys: Mapping[str, Action] = KEYS) -> str:
    """Return the label of the commonest key for `action`; what it does, where no key does."""
    return label_of(next(iter(keys_for(action, keys)), action.value))


def browser_keys(names: Mapping[Action, str]) -> dict[str, str]:
    """Return, by the names that browsers give keys, the page's own name of what each asks for.

    Parameters
    ----------
    names
        The page's names of the actions that it has.
    """
    return {
        _BROWSER_NAMES.get(key, key): names[action]
        for key, action in KEYS.items()
        if action in names and (len(key) == 1 or key in _BROWSER_NAMES)
    }

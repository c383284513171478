"""What the teacher's own screens say, in the language of the lesson, or of the computer where none is led.

There is one screen, and it speaks one language at a time: whoever shows something new says which (`speak`),
and everybody else asks for words by their key in `screen.toml` of the languages (`said`). What ends the
program is told on the terminal, in its own language.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from caller.languages import MODEL, words
from caller.screen import keytable
from caller.screen.keytable import ARROWS, KEYS, Action, keys_for

NO_SPEAKER: Final = (
    "This computer has no working loudspeaker for the lesson: plug one in or choose one in the sound "
    "settings, or add --mute to run without sound."
)
NO_DISPLAY: Final = (
    "This computer has no display to show the clock on: connect one, "
    "or start the lesson from a desktop session."
)
DISPLAY_LOST: Final = (
    "The display went away in the middle of the lesson: connect it again and start the caller again; "
    "it carries on from the call it had reached."
)
WINDOW_TITLE: Final = "Lesson caller"

_BUTTONS: Final[Mapping[str, str]] = {".": "full-stop"}


@dataclass(slots=True)
class _Speaking:
    code: str = MODEL


_language: Final = _Speaking()


def speak(code: str) -> None:
    """Let the screens speak this language from now on."""
    words(code, "screen")  # what it lacks is told here, not in the middle of a lesson
    _language.code = code


def spoken() -> str:
    """Return the language that the screens speak."""
    return _language.code


def said(key: str) -> str:
    """Return the words called `key`, such as "lesson.paused", their slots not yet filled."""
    return str(words(_language.code, "screen").entries[key])


def label_of(key_name: str) -> str:
    """Return what a button is called on the screen."""
    if key_name.startswith("pad "):
        side = key_name.removeprefix("pad ")
        return said("button.pad").format(name=ARROWS.get(side, side))
    own = f"button.{_BUTTONS.get(key_name, key_name.replace(' ', '-'))}"
    return said(own) if own in words(_language.code, "screen").entries else keytable.label_of(key_name)


def does(action: Action) -> str:
    """Return what a button does that asks for `action`."""
    return said(f"action.{action.name.lower().replace('_', '-')}")


def label_for(action: Action, keys: Mapping[str, Action] = KEYS) -> str:
    """Return the label of the commonest key for `action`; what it does, where no key does."""
    names = keys_for(action, keys)
    return label_of(names[0]) if names else does(action)

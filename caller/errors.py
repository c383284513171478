"""What can go wrong, as one tree.

CallerError                 the root: one sentence for the person at the keyboard
├── UserError               their mistake: exit code 2
│   ├── ScriptError         a lesson, class or hall file cannot be used as it stands
│   ├── NotFoundError       a named file, lesson or move does not exist
│   └── BeingWrittenError   another of our programs is writing that file
└── MachineError            this machine lacks or lost something: exit code 1
    ├── ScreenError         no display
    ├── DrawingError        no drawing library
    └── SoundError          no speaker, or no speech
"""

from __future__ import annotations

import unicodedata
from typing import ClassVar, Final

_KEPT: Final = "\t\N{ZERO WIDTH JOINER}\N{ZERO WIDTH NON-JOINER}\N{SOFT HYPHEN}"


class CallerError(Exception):
    """An error whose text is one sentence for a teacher: where, what, how to mend it.

    What a file or a name holds may be quoted in it; what cannot be printed, such as a command to the
    terminal, is shown as a question mark in a box.
    """

    exit_code: ClassVar[int] = 1

    def __init__(self, text: str = "") -> None:
        super().__init__("".join(map(_printable, text)))


def harmless(text: str) -> str:
    """Return `text` with nothing in it that a terminal obeys, or that turns the reading order of a line.

    Spaces of any width stay, and so do the joiners that scripts and pictured letters need; control
    characters, bidirectional controls and halves of letters are shown as a question mark in a box.
    """
    return text if text.isprintable() else "".join(map(_harmless, text))


def _harmless(letter: str) -> str:
    return letter if letter in _KEPT or unicodedata.category(letter) == "Zs" else _printable(letter)


def _printable(letter: str) -> str:
    if letter == "\n" or letter.isprintable():
        return letter
    return " " if letter.isspace() else "\N{REPLACEMENT CHARACTER}"


class UserError(CallerError):
    """The person can mend this in what they typed or wrote."""

    exit_code: ClassVar[int] = 2


class ScriptError(UserError):
    """A lesson, class or hall file cannot be used as it stands."""


class BeingWrittenError(UserError):
    """Another of our programs is writing that very file just now."""


class NotFoundError(UserError):
    """A named file, lesson, move or class does not exist."""


class MachineError(CallerError):
    """The machine lacks or lost something the lesson needs."""


class ScreenError(MachineError):
    """There is no display."""


class DrawingError(MachineError):
    """The drawing library cannot load."""


class SoundError(MachineError):
    """There is no speaker, or no speech engine."""

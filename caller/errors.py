"""What can go wrong, as one tree.

CallerError                 the root: one sentence for the person at the keyboard
├── UserError               their mistake: exit code 2
│   ├── ScriptError         a lesson, class or hall file cannot be used as it stands
│   └── NotFoundError       a named file, lesson or move does not exist
└── MachineError            this machine lacks or lost something: exit code 1
    ├── ScreenError         no display, or no drawing library
    └── SoundError          no speaker, or no speech
"""

from __future__ import annotations

from typing import ClassVar


class CallerError(Exception):
    """An error whose text is one sentence for a teacher: where, what, how to mend it.

    What a file or a name holds may be quoted in it; what cannot be printed, such as a command to the
    terminal, is shown as a question mark in a box.
    """

    exit_code: ClassVar[int] = 1

    def __init__(self, text: str = "") -> None:
        super().__init__("".join(map(_printable, text)))


def _printable(letter: str) -> str:
    if letter == "\n" or letter.isprintable():
        return letter
    return " " if letter.isspace() else "\N{REPLACEMENT CHARACTER}"


class UserError(CallerError):
    """The person can mend this in what they typed or wrote."""

    exit_code: ClassVar[int] = 2


class ScriptError(UserError):
    """A lesson, class or hall file cannot be used as it stands."""


class NotFoundError(UserError):
    """A named file, lesson, move or class does not exist."""


class MachineError(CallerError):
    """The machine lacks or lost something the lesson needs."""


class ScreenError(MachineError):
    """There is no display, or the drawing library cannot load."""


class SoundError(MachineError):
    """There is no speaker, or no speech engine."""

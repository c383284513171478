"""What a key means just now: while the lesson is led, paused, about to be stopped, or hidden by the key page.

Each state takes what was asked for and says which state comes next; each has its own line for the teacher.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final, Protocol

from caller.live.words import said
from caller.screen.keytable import TALLIES, Action

Asked = Action | int
"""An action, or a digit of a count."""


class Ending(Enum):
    """How a run came to its end."""

    ENDED = "by itself"
    SKIPPED = "by a press of `next` on its last call"
    STOPPED = "by the teacher"


class Led(Protocol):
    """What the states act on."""

    @property
    def confirms_stop(self) -> bool:
        """Whether stopping asks first."""
        ...

    def act(self, asked: Action) -> None:
        """Do what concerns the order and the sound of calls."""
        ...

    def pause(self) -> None:
        """Fall silent, and stay at this call."""
        ...

    def go_on(self) -> None:
        """Go on from the start of this call."""
        ...

    def count(self, asked: Asked) -> None:
        """Take a count, or take the last one back."""
        ...

    def look(self, asked: Action) -> None:
        """Change how the screen looks."""
        ...


_LOOKS: Final = frozenset({Action.THEME, Action.FULL_SCREEN, Action.PICTURE_LATER, Action.PICTURE_EARLIER})
_LOUDNESS: Final = frozenset({Action.LOUDER, Action.SOFTER})
_COUNTS: Final = TALLIES | {Action.UNDO}


@dataclass(frozen=True, slots=True)
class Leading:
    """The lesson goes on by itself."""

    notice = ""

    def asked(self, asked: Asked, led: Led) -> State | Ending:
        """Return what comes of it."""
        if _same_everywhere(asked, led):
            return self
        match asked:
            case Action.HELP:
                return ShowingKeys(self)
            case Action.QUIT:
                if not led.confirms_stop:
                    return Ending.STOPPED
                led.pause()
                return AskingToStop()
            case Action.PAUSE:
                led.pause()
                return Paused()
            case Action():
                led.act(asked)
        return self


@dataclass(frozen=True, slots=True)
class Paused:
    """The lesson is silent, at the start of the call that was paused."""

    @property
    def notice(self) -> str:
        """What the screen says meanwhile."""
        return said("lesson.paused")

    def asked(self, asked: Asked, led: Led) -> State | Ending:
        """Return what comes of it: every way on ends the pause."""
        if _same_everywhere(asked, led):
            return self
        match asked:
            case Action.HELP:
                return ShowingKeys(self)
            case Action.QUIT:
                return AskingToStop() if led.confirms_stop else Ending.STOPPED
            case Action.PAUSE:
                led.go_on()
            case Action.MORE_TIME:
                led.act(asked)
                return self
            case Action():
                led.act(asked)
        return Leading()


@dataclass(frozen=True, slots=True)
class AskingToStop:
    """Stop the lesson? Asked twice, it stops; every other key goes on."""

    @property
    def notice(self) -> str:
        """What the screen says meanwhile."""
        return said("lesson.ask-to-stop")

    def asked(self, asked: Asked, led: Led) -> State | Ending:
        """Return what comes of it."""
        if asked is Action.QUIT:
            return Ending.STOPPED
        led.go_on()
        return Leading()


@dataclass(frozen=True, slots=True)
class ShowingKeys:
    """The key page hides the lesson, which goes on behind it."""

    behind: Leading | Paused
    notice = ""

    def asked(self, asked: Asked, led: Led) -> State | Ending:
        """Return what comes of it: the page's own key, and stop's, put it away; others act behind it."""
        if asked in (Action.HELP, Action.QUIT):
            return self.behind
        next_mode = self.behind.asked(asked, led)
        return ShowingKeys(next_mode) if isinstance(next_mode, Leading | Paused) else next_mode


State = Leading | Paused | AskingToStop | ShowingKeys


def _same_everywhere(asked: Asked, led: Led) -> bool:
    """Do what needs no other state: counts, loudness, looks."""
    if isinstance(asked, int) or asked in _COUNTS:
        led.count(asked)
    elif asked in _LOOKS:
        led.look(asked)
    elif asked in _LOUDNESS:
        led.act(asked)
    else:
        return False
    return True


def is_still(state: State) -> bool:
    """Tell whether the lesson stands still, so that one switch goes on with it."""
    return isinstance(state, Paused | AskingToStop) or (
        isinstance(state, ShowingKeys) and isinstance(state.behind, Paused)
    )

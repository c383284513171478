"""From presses to what they ask for: by the teacher's own controls, and by what goes on just now.

Each state takes what was asked for and says which state comes next; each has its own line for the teacher.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final, Protocol, TypeAlias

from caller.live.keys import Controls
from caller.live.window import Click, ClickRelease, Input, KeyPress, KeyRelease, Pointed
from caller.live.words import label_for, said
from caller.screen.keytable import TALLIES, Action, digit_of
from caller.screen.menu import BarButton, BarSign, Menu, tile_places
from caller.screen.scene import Scene
from caller.timeline.picture import FRAME_S

Asked = Action | int
"""An action, or a digit of a count."""

ASK_AFTER_S, STOP_AFTER_S = 3.0, 5.0
"""How long holding is that asks whether to stop, and that stops: longer than a hand rests on a button."""

_STOPPING: Final = ((ASK_AFTER_S, Action.QUIT), (STOP_AFTER_S, Action.QUIT))


class Holding:
    """What holding a button or a finger asks for, one thing after another, each as soon as it is due."""

    def __init__(self, *steps: tuple[float, Action]) -> None:
        self._steps = steps
        self._since_s: float | None = None
        self._done = 0

    def begin(self, now_s: float) -> None:
        """It goes down."""
        self._since_s, self._done = now_s, 0

    def end(self) -> bool:
        """It comes up; return whether it was down, and not long enough for anything."""
        short = self._since_s is not None and not self._done
        self._since_s = None
        return short

    def due(self, now_s: float) -> Action | None:
        """Return the next thing once holding has lasted long enough for it; ask often."""
        if self._since_s is None or self._done == len(self._steps):
            return None
        after_s, action = self._steps[self._done]
        if now_s - self._since_s < after_s:
            return None
        self._done += 1
        return action


class SingleSwitch:
    """Turns presses and releases of one button into actions. Times are in seconds on any steady clock.

    Holding acts as soon as it has lasted `hold_s`, so that the teacher hears that it worked; holding on asks
    to stop, and stops. A press within `ignore_again_s` of the last release is a tremor or a bounce, and does
    nothing.
    """

    def __init__(self, *, hold_s: float, ignore_again_s: float) -> None:
        self._ignore_again_s = ignore_again_s
        self._holding = Holding(
            (hold_s, Action.REPEAT), *((hold_s + after_s, action) for after_s, action in _STOPPING)
        )
        self._down = False
        self._released_s = float("-inf")

    def press(self, now_s: float) -> None:
        """The button goes down; what a held key sends again and again is one press."""
        if not self._down and now_s - self._released_s >= self._ignore_again_s:
            self._down = True
            self._holding.begin(now_s)

    def release(self, now_s: float, *, paused: bool) -> Action | None:
        """The button comes up: a short press goes on, from a pause or to the next call."""
        self._released_s = now_s
        self._down = False
        if not self._holding.end():
            return None
        return Action.PAUSE if paused else Action.NEXT

    def held(self, now_s: float) -> Action | None:
        """Return the call's repeat once holding has lasted long enough, then what stops; ask often."""
        return self._holding.due(now_s)


class Buttons:
    """Turns what the window tells into actions and digits.

    A click or the tap of a finger pauses, wherever it is. Holding it asks to stop, and stops.
    """

    def __init__(self, controls: Controls) -> None:
        self._controls = controls
        self._pointer = Holding(*_STOPPING)
        self._switch = SingleSwitch(hold_s=controls.hold_s, ignore_again_s=controls.ignore_again_s)

    def asked(self, inputs: Iterable[Input], now_s: float, *, paused: Callable[[], bool]) -> Iterator[Asked]:
        """Yield what was asked for since the last call.

        Parameters
        ----------
        now_s
            Seconds on a steady clock.
        paused
            Tells whether the lesson is paused, so that a single switch goes on with it.
        """
        switch = self._controls.single_switch
        for each in inputs:
            if isinstance(each, Click):
                self._pointer.begin(now_s)
                yield Action.PAUSE
            elif isinstance(each, ClickRelease):
                self._pointer.end()
            if isinstance(each, Click | ClickRelease | Pointed):
                continue
            name = each.key.lower()
            asked: Asked | None = None
            if switch and name == switch:
                if isinstance(each, KeyPress):
                    self._switch.press(now_s)
                else:
                    asked = self._switch.release(now_s, paused=paused())
            elif isinstance(each, KeyRelease):
                continue
            elif name in self._controls.keys:
                asked = self._controls.keys[name]
            else:
                asked = digit_of(name)
            if asked is not None:
                yield asked
        for held in (self._pointer.due(now_s), self._switch.held(now_s)):
            if held is not None:
                yield held


_Sign: TypeAlias = tuple[Action, BarSign, str]
"""What a button asks for, its sign, and the name of its words; without words it has no key either."""


class WaitingPage:
    """A page that is said again until somebody goes on: its buttons, and what a press on it asks for.

    Keys do what they do in a lesson, but that whatever goes back leaves the page. One switch goes from button
    to button, and holding it takes one, as on the pages before.

    Parameters
    ----------
    size
        Returns how large the window is now, in pixels.
    loudness
        Whether it can be made louder and softer here, and the picture be tested.
    """

    def __init__(self, controls: Controls, size: Callable[[], tuple[int, int]], *, loudness: bool) -> None:
        self._controls, self._size = controls, size
        # The page itself names the keys for loudness.
        louder: tuple[_Sign, ...] = (
            (Action.SOFTER, "softer", ""),
            (Action.LOUDER, "louder", ""),
            (Action.PICTURE, "picture", "picture.button"),
        )
        signs: tuple[_Sign, ...] = (
            (Action.QUIT, "back", "start.back"),
            *(louder if loudness else ()),
            (Action.HELP, "keys", "keys.title"),
            (Action.NEXT, "on", "start.go-on"),
        )
        self._actions = tuple(action for action, _, _ in signs)
        self._bar = tuple(
            BarButton(
                sign=sign,
                text=said(name) if name else "",
                key=label_for(action, controls.keys) if name else "",
            )
            for action, sign, name in signs
        )
        self._selected = len(self._bar) - 1
        self._over: Action | None = None  # the page that lies over this one
        self._switch = SingleSwitch(hold_s=controls.hold_s, ignore_again_s=controls.ignore_again_s)

    def shown(self, scene: Scene) -> Menu:
        """Return the page with its buttons under a scene."""
        hint = said("choose.switch-hint") if self._controls.single_switch else ""
        scene = scene if scene.notice or not hint else replace(scene, notice=hint)
        return Menu(tiles=(), bar=self._bar, selected=self._selected, scene=scene)

    def asked(self, inputs: Iterable[Input], now_s: float, *, paused: Callable[[], bool]) -> Iterator[Asked]:
        """Yield what was asked for since the last call, as `Buttons` does."""
        del paused  # it never is: pausing says it again
        for each in inputs:
            asked = self._asked_by(each, now_s)
            if asked is not None:
                yield self._shows(asked)
        if self._switch.held(now_s) is Action.REPEAT:
            yield self._shows(self._over or self._actions[self._selected])

    def _shows(self, action: Action) -> Action:
        """Note which page lies over this one after it."""
        self._over = action if action in OVERLAYS and action is not self._over else None
        return action

    def _asked_by(self, each: Input, now_s: float) -> Action | None:
        if isinstance(each, Click):
            if self._over is not None:
                return self._over
            number = tile_places(Menu(tiles=(), bar=self._bar), *self._size()).under(each.x, each.y)
            return None if number is None else self._actions[number]
        if isinstance(each, ClickRelease | Pointed):
            return None
        name = each.key.lower()
        if name == self._controls.single_switch:
            if isinstance(each, KeyPress):
                self._switch.press(now_s)
            elif self._switch.release(now_s, paused=False) is not None:
                if self._over is not None:
                    return self._over
                self._selected = (self._selected + 1) % len(self._bar)
            return None
        if isinstance(each, KeyRelease):
            return None
        action = self._controls.keys.get(name)
        if self._over is not None:
            return self._over
        return Action.QUIT if action is Action.BACK else action


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
        """Take a count, take the last one back, or let claps be counted."""
        ...

    def look(self, asked: Action) -> None:
        """Change how the screen looks."""
        ...


_LOOKS: Final = frozenset({Action.THEME, Action.FULL_SCREEN, Action.PICTURE_LATER, Action.PICTURE_EARLIER})
_LOUDNESS: Final = frozenset({Action.LOUDER, Action.SOFTER})
OVERLAYS: Final = frozenset({Action.HELP, Action.PICTURE})
"""What lays a page over the lesson, and takes it away."""

_COUNTS: Final = TALLIES | {Action.UNDO, Action.CLAPS}


@dataclass(frozen=True, slots=True)
class Leading:
    """The lesson goes on by itself."""

    notice = ""

    def asked(self, asked: Asked, led: Led) -> State | Ending:
        """Return what comes of it."""
        if _same_everywhere(asked, led):
            return self
        match asked:
            case Action.HELP | Action.PICTURE:
                return ShowingPage(asked, self)
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
            case Action.HELP | Action.PICTURE:
                return ShowingPage(asked, self)
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
class ShowingPage:
    """The page of keys, or the one that tests the picture, hides the lesson, which goes on behind it."""

    page: Action
    behind: Leading | Paused
    notice = ""

    def asked(self, asked: Asked, led: Led) -> State | Ending:
        """Return what comes of it: the page's own key, and stop's, put it away; others act behind it."""
        if asked in (self.page, Action.QUIT):
            return self.behind
        next_mode = self.behind.asked(asked, led)
        return ShowingPage(self.page, next_mode) if isinstance(next_mode, Leading | Paused) else next_mode


State = Leading | Paused | AskingToStop | ShowingPage


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


LEFT_ALONE_S: Final = 2.0
"""What stands still and was not touched for so long is looked after less often."""

LOOK_ALONE_S: Final = 2.0 * FRAME_S
"""How often it is asked for presses then."""


def is_still(state: State) -> bool:
    """Tell whether the lesson stands still, so that one switch goes on with it."""
    return isinstance(state, Paused | AskingToStop) or (
        isinstance(state, ShowingPage) and isinstance(state.behind, Paused)
    )

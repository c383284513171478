"""From presses to what they ask for, by the teacher's own controls."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from caller.live.controls.keys import Controls
from caller.live.window import Click, Input, KeyPress, KeyRelease, Pointed
from caller.screen.keytable import Action, digit_of

Asked = Action | int
"""An action, or a digit of a count."""


class SingleSwitch:
    """Turns presses and releases of one button into actions. Times are in seconds on any steady clock.

    Holding acts as soon as it has lasted `hold_s`, so that the teacher hears that it worked. A press within
    `ignore_again_s` of the last release is a tremor or a bounce, and does nothing.
    """

    def __init__(self, *, hold_s: float, ignore_again_s: float) -> None:
        self._hold_s = hold_s
        self._ignore_again_s = ignore_again_s
        self._pressed_s: float | None = None
        self._released_s = float("-inf")

    def press(self, now_s: float) -> None:
        """The button goes down."""
        if self._pressed_s is None and now_s - self._released_s >= self._ignore_again_s:
            self._pressed_s = now_s

    def release(self, now_s: float, *, paused: bool) -> Action | None:
        """The button comes up: a short press goes on, from a pause or to the next call."""
        self._released_s = now_s
        if self._pressed_s is None:
            return None
        self._pressed_s = None
        return Action.PAUSE if paused else Action.NEXT

    def held(self, now_s: float) -> Action | None:
        """Return the call's repeat once holding has lasted long enough; ask often."""
        if self._pressed_s is None or now_s - self._pressed_s < self._hold_s:
            return None
        self._pressed_s = None
        return Action.REPEAT


class Buttons:
    """Turns what the window tells into actions and digits.

    Parameters
    ----------
    tap
        What a click or the tap of a finger asks for, wherever it is.
    """

    def __init__(self, controls: Controls, *, tap: Action = Action.PAUSE) -> None:
        self._controls = controls
        self._tap = tap
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
                yield self._tap
            if isinstance(each, Click | Pointed):
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
        if switch:
            held = self._switch.held(now_s)
            if held is not None:
                yield held

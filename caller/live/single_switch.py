"""One button for everything: a short press goes on, holding it says the call again."""

from __future__ import annotations

from caller.live.keys import Action


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

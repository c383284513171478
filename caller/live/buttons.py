"""From presses to what they ask for, by the teacher's own controls."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from caller.live.keys import Action, digit_of
from caller.live.remap import Controls
from caller.live.single_switch import SingleSwitch
from caller.live.window import Click, Input, KeyPress, KeyRelease

Asked = Action | int
"""An action, or a digit of a count."""


class Buttons:
    """Turns what the window tells into actions and digits."""

    def __init__(self, controls: Controls) -> None:
        self._controls = controls
        self._switch = SingleSwitch(hold_s=controls.hold_s, ignore_again_s=controls.ignore_again_s)

    def asked(
        self, inputs: Iterable[Input], now_s: float, *, tally_waits: bool, paused: bool
    ) -> Iterator[Asked]:
        """Yield what was asked for since the last call.

        Parameters
        ----------
        now_s
            Seconds on a steady clock.
        tally_waits
            Whether a tally may be given and has not been yet: a presenter's buttons then mean one.
        paused
            Whether the lesson is paused, so that a single switch goes on with it.
        """
        switch = self._controls.single_switch
        for each in inputs:
            if isinstance(each, Click):
                continue
            name = each.key.lower()
            asked: Asked | None = None
            if switch and name == switch:
                if isinstance(each, KeyPress):
                    self._switch.press(now_s)
                else:
                    asked = self._switch.release(now_s, paused=paused)
            elif isinstance(each, KeyRelease):
                continue
            elif tally_waits and name in self._controls.after_an_answer:
                asked, tally_waits = self._controls.after_an_answer[name], False
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

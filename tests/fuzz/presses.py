"""Buttons pressed at any moments of a short lesson: the loop of the hall, without window and device."""

from __future__ import annotations

from typing import Final

import numpy as np

from caller.live.background import RunLog
from caller.live.keeping import TallyTaker
from caller.live.keys import Controls
from caller.live.loudspeaker.player import Player
from caller.live.performance.conductor import Conductor
from caller.live.performance.presses import Buttons
from caller.live.window import KeyPress, KeyRelease
from caller.screen.keytable import KEYS, TALLIES, Action
from caller.sound import SAMPLE_RATE
from tests.live.conftest import AtOnce, make_call, steady_timeline

SWITCH: Final = "space"
BUTTONS: Final = (*KEYS, *"0123456789", "no such key", "")
MOST_PRESSES: Final = 200
_LONGEST_S: Final = 0.5  # between two presses
_CALLS: Final = (
    make_call(1, 0.1, kind="ready", in_round=1),
    make_call(2, 0.2, kind="question", in_round=1),
    make_call(3, 0.3, kind="choices", in_round=1),
    make_call(4, 0.4, kind="move", in_round=1, think_s=2),
    make_call(5, 0.5, kind="answer", in_round=1),
    make_call(6, 0.4, kind="catch-up", in_round=1),
)


def press_buttons(content: bytes) -> None:
    """Lead the lesson; each two bytes are a button, pressed or let go, and how long after the last one."""
    player = Player()
    # Work is done when it is handed over, so that a find can be found again.
    conductor = Conductor(steady_timeline(*_CALLS), player, AtOnce(RunLog(None)))
    buttons = Buttons(Controls(single_switch=SWITCH if content[:1] < b"\x80" else ""))
    tallies = TallyTaker()
    now_s = 0.0
    for which, how in zip(content[1 : 2 * MOST_PRESSES : 2], content[2 : 2 * MOST_PRESSES : 2], strict=False):
        wait_s = _LONGEST_S * (how & 0x7F) / 0x7F
        now_s += wait_s
        block = np.zeros(round(wait_s * SAMPLE_RATE), dtype=np.float32)
        player.fill(block)
        assert np.abs(block).max(initial=0.0) <= 1.0
        conductor.step()
        situation = conductor.situation(player.written)
        if situation.finished:
            break
        assert situation.call.number in {call.number for call in conductor.calls}
        if situation.segment is not None:
            assert 0 <= situation.sample <= situation.segment.length
            tallies.hear(situation.call)
        name = BUTTONS[which % len(BUTTONS)]
        pressed = KeyRelease(name) if how & 0x80 else KeyPress(name)
        asking = buttons.asked([pressed], now_s, paused=lambda: situation.paused)  # noqa: B023 - used at once
        for asked in list(asking):
            if isinstance(asked, int):
                tallies.digit(asked, now_s)
            elif asked is Action.UNDO:
                tallies.take_back()
            elif asked in TALLIES:
                tallies.press(asked)
            elif asked is Action.QUIT:
                conductor.pause()
            else:
                conductor.act(asked)
    if conductor.situation(player.written).paused:
        conductor.go_on()
    for _ in range(MOST_PRESSES * 10 + 60):  # every press for more time may have added ten seconds
        conductor.step()
        player.fill(np.zeros(SAMPLE_RATE, dtype=np.float32))
        if conductor.situation(player.written).finished:
            return
    raise AssertionError("the lesson does not end")

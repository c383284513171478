"""The loudspeaker through SDL, with its dummy driver, in a process of its own: a hang would be for ever."""

from __future__ import annotations

import subprocess
import sys
from os import environ

import pytest

# The player works through most of a block's 21 ms: the device is nearly always asking when it is closed.
OPENED_AND_CLOSED = """
import time
from caller.live.loudspeaker import speakers
from caller.live.loudspeaker.player import Player

class Busy(Player):
    def fill(self, out):
        super().fill(out)
        until = time.perf_counter() + 0.015
        while time.perf_counter() < until:
            pass

speakers.subprocess.run = lambda *_, **__: None
for _ in range(6):
    player = Busy()
    player.wide = WIDE
    speaker = speakers.SdlSpeaker(player)
    speaker.start()
    give_up = time.monotonic() + 20
    while not player.written and time.monotonic() < give_up:
        time.sleep(0.001)
    speaker.close()
    assert player.written
print("closed")
"""


@pytest.mark.parametrize("wide", [False, True])
def test_a_device_that_is_asking_for_samples_is_closed(wide: bool) -> None:
    done = subprocess.run(
        [sys.executable, "-c", OPENED_AND_CLOSED.replace("WIDE", str(wide))],
        env=environ | {"SDL_AUDIODRIVER": "dummy", "PYGAME_HIDE_SUPPORT_PROMPT": "1"},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.stdout.split() == ["closed"], done.stderr

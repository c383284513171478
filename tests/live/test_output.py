"""The speaker in use, and what becomes of a lesson when it is lost: no device is needed here."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

import numpy as np
import pytest

from caller.errors import SoundError
from caller.live.output import LOST_NOTICE, Output
from caller.live.player import Player
from caller.live.speaker import STALLED_S, SilentSpeaker
from caller.sound.levels import SAMPLE_RATE


class Clock:
    """A clock that a test sets."""

    def __init__(self) -> None:
        self.now_s = 100.0

    def __call__(self) -> float:
        return self.now_s


class Device(SilentSpeaker):
    """A device that can be pulled out."""

    name = "device"
    gone = False

    def lost(self, now_s: float) -> bool:  # noqa: ARG002
        return self.gone


def wait_for(true: Callable[[], bool]) -> None:
    give_up_s = time.monotonic() + 20
    while not true():
        assert time.monotonic() < give_up_s
        time.sleep(0.005)


def test_a_lost_device_is_replaced_and_the_samples_are_counted_meanwhile() -> None:
    opened: list[Device] = []
    plugged = threading.Event()
    plugged.set()

    def opener(player: Player) -> Device:
        if not plugged.is_set():
            raise SoundError("none")
        opened.append(Device(player))
        return opened[-1]

    player = Player()
    told: list[tuple[str, str]] = []
    output = Output(player, opener=opener, tell=lambda event, device: told.append((event, device)))
    assert output.look_after() == ""
    plugged.clear()
    opened[0].gone = True
    assert output.look_after() == LOST_NOTICE
    lost_at = player.written
    wait_for(lambda: player.written > lost_at)
    assert output.look_after() == LOST_NOTICE
    assert output.name == "no sound"
    plugged.set()
    wait_for(lambda: len(told) == 2)
    assert told == [("sound lost", "device"), ("sound back", "device")]
    assert output.look_after() == ""
    assert len(opened) == 2
    output.close()


def test_a_device_that_hangs_as_it_is_closed_does_not_hold_up_the_lesson() -> None:
    hung = threading.Event()

    class Hanging(Device):
        def close(self) -> None:
            hung.wait(30)

    player = Player()
    output = Output(player, opener=Hanging)
    Hanging.gone = True
    began_s = time.monotonic()
    assert output.look_after() == LOST_NOTICE
    assert time.monotonic() - began_s < 5
    wait_for(lambda: player.written > SAMPLE_RATE // 10)
    hung.set()
    output.close()


def test_a_retired_speaker_takes_nothing_more() -> None:
    player = Player()
    speaker = SilentSpeaker(player)
    speaker.retire()
    block = np.full(64, np.nan, dtype=np.float32)
    speaker._fill(block, 0.0)
    assert player.written == 0
    assert not block.any()


def test_a_silent_lesson_goes_on_where_it_was_after_the_machine_slept() -> None:
    clock, player = Clock(), Player()
    speaker = SilentSpeaker(player, clock=clock)
    speaker.start()
    clock.now_s += 0.5
    wait_for(lambda: player.written == SAMPLE_RATE // 2)
    clock.now_s += 3_600.0
    wait_for(lambda: player.written > SAMPLE_RATE)
    time.sleep(0.05)
    assert player.written == SAMPLE_RATE // 2 + SAMPLE_RATE, "an hour of sleep is a second of lesson"
    assert speaker.heard(clock.now_s) <= player.written
    assert not speaker.lost(clock.now_s + 10 * STALLED_S)
    speaker.close()


def test_after_a_gap_the_clock_forgets_what_came_before() -> None:
    clock, player = Clock(), Player()
    speaker = SilentSpeaker(player, clock=clock)
    block = np.zeros(480, dtype=np.float32)
    for _ in range(64):
        clock.now_s += 0.01
        speaker._fill(block, 0.0)
    clock.now_s += 30.0
    speaker._fill(block, 0.2)
    assert speaker.heard(clock.now_s + 0.2) == pytest.approx(64 * 480, abs=1)

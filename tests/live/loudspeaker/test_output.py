"""The speaker in use, and what becomes of a lesson when it is lost: no device is needed here."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from caller.errors import NotFoundError, SoundError
from caller.live.loudspeaker import Speaker
from caller.live.loudspeaker import output as output_module
from caller.live.loudspeaker.output import Output, SecondOutput, SpeakerBeingOpened, output_called
from caller.live.loudspeaker.player import Player, VoiceAlone
from caller.live.loudspeaker.speakers import PATIENCE_S, SilentSpeaker, _Counting
from caller.live.words import said
from caller.sound import SAMPLE_RATE


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

    def ended(self) -> bool:
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
    output = Output(
        SpeakerBeingOpened(player, opener), tell=lambda event, device: told.append((event, device))
    )
    assert output.look_after() == ""
    plugged.clear()
    opened[0].gone = True
    assert output.look_after() == said("machine.lost")
    lost_at = player.written
    wait_for(lambda: player.written > lost_at)
    assert output.look_after() == said("machine.lost")
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
    output = Output(SpeakerBeingOpened(player, Hanging))
    Hanging.gone = True
    began_s = time.monotonic()
    assert output.look_after() == said("machine.lost")
    assert time.monotonic() - began_s < 5
    wait_for(lambda: player.written > SAMPLE_RATE // 10)
    hung.set()
    output.close()


def test_a_resting_speaker_takes_nothing() -> None:
    player = Player()
    speaker = SilentSpeaker(player)
    speaker.rest()
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
    assert not speaker.lost(clock.now_s + 10 * PATIENCE_S)
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


class Slow(SilentSpeaker):
    """A device that stops asking and comes to itself, as a sound system under load does."""

    name = "slow"
    asks = True

    def lost(self, now_s: float) -> bool:  # noqa: ARG002
        return not self.asks

    def plays(self, now_s: float) -> bool:  # noqa: ARG002
        return self.asks


def test_what_is_only_slow_is_waited_for_and_never_opened_anew() -> None:
    opened: list[Slow] = []

    def opener(player: Player) -> Slow:
        opened.append(Slow(player))
        return opened[-1]

    told: list[str] = []
    player = Player()
    output = Output(SpeakerBeingOpened(player, opener), tell=lambda event, _device: told.append(event))
    opened[0].asks = False
    assert output.look_after() == said("machine.lost")
    lost_at = player.written
    wait_for(lambda: player.written > lost_at + SAMPLE_RATE // 20)
    assert output.look_after() == said("machine.lost")
    opened[0].asks = True
    wait_for(lambda: len(told) == 2)
    assert told == ["sound lost", "sound back"]
    assert (len(opened), output.name, output.look_after()) == (1, "slow", "")
    output.close()


def test_without_a_loudspeaker_a_lesson_begins_and_takes_the_first_that_comes() -> None:
    plugged = threading.Event()

    def opener(player: Player) -> Device:
        if not plugged.is_set():
            raise SoundError("none")
        return Device(player)

    told: list[str] = []
    player = Player()
    output = Output(SpeakerBeingOpened(player, opener), tell=lambda event, _device: told.append(event))
    assert output.look_after() == said("machine.none")
    wait_for(lambda: player.written > 0)
    Device.gone = False
    plugged.set()
    wait_for(lambda: len(told) == 2)
    assert told == ["no speaker", "sound back"]
    assert (output.name, output.look_after()) == ("device", "")
    output.close()


def test_a_sound_system_that_hangs_as_it_is_opened_holds_up_no_lesson(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(output_module, "_OPENS_S", 0.2)
    answers, opened = threading.Event(), []
    Device.gone = False

    def opener(player: Player) -> Device:
        opened.append(player)
        answers.wait(30)
        return Device(player)

    told: list[str] = []
    player = Player()
    began_s = time.monotonic()
    output = Output(SpeakerBeingOpened(player, opener), tell=lambda event, _device: told.append(event))
    assert time.monotonic() - began_s < 5
    assert output.look_after() == said("machine.none")
    wait_for(lambda: player.written > SAMPLE_RATE // 10)
    assert len(opened) == 1, "what hangs is not asked once more"
    answers.set()
    wait_for(lambda: len(told) == 2)
    assert (told, output.name, len(opened)) == (["no speaker", "sound back"], "device", 1)
    output.close()


def test_a_sound_server_that_goes_just_before_the_start_costs_no_lesson() -> None:
    """The device could be opened, and then not started: the lesson begins in silence and takes the next."""

    class Refusing(Device):
        tries = 0

        def start(self) -> None:
            Refusing.tries += 1
            if Refusing.tries < 3:
                raise SoundError("gone")
            super().start()

        def ended(self) -> bool:
            return not self._thread.is_alive()

    Device.gone = False
    told: list[str] = []
    player = Player()
    output = Output(SpeakerBeingOpened(player, Refusing), tell=lambda event, _device: told.append(event))
    assert output.look_after() == said("machine.none")
    wait_for(lambda: len(told) == 2)
    assert told == ["no speaker", "sound back"]
    assert (output.name, output.look_after()) == ("device", "")
    output.close()


def test_a_device_that_starts_after_it_was_given_up_takes_no_samples_until_it_is_chosen() -> None:
    late: list[Device] = []

    class Late(Device):
        def start(self) -> None:
            late.append(self)
            raise SoundError("no answer in time")

        def plays(self, now_s: float) -> bool:  # noqa: ARG002
            return False

    Device.gone = False
    player = Player()
    output = Output(SpeakerBeingOpened(player, Late))
    assert output.name == "no sound"
    late[0]._player = Player()  # what it would take now is counted here
    late[0]._fill(np.zeros(480, dtype=np.float32), 0.0)
    assert late[0]._player.written == 0
    output.close()


def measured_gaps(*gaps_s: float, ask: Callable[[SilentSpeaker, float], bool]) -> list[bool]:
    """What a speaker of 0.5 s of buffer says just before each of the callbacks that come after such gaps."""
    clock = Clock()
    speaker = SilentSpeaker(Player(), clock=clock)
    speaker.buffer_s = 0.5
    block = np.zeros(6_000, dtype=np.float32)
    answers = []
    for gap_s in gaps_s:
        clock.now_s += gap_s
        answers.append(ask(speaker, clock.now_s))
        speaker._fill(block, 0.0)
    return answers


def test_no_gap_of_a_working_sound_system_counts_as_a_loss() -> None:
    """Gaps between callbacks measured on a PulseAudio null sink that nobody records."""
    after_a_start_s = (0.0, 0.0, 0.0, 0.0, 0.0, 1.63, 0.12, 0.13, 0.12, 0.13, 0.12, 0.12)
    assert not any(measured_gaps(*after_a_start_s, ask=_Counting.lost))


def test_a_stalled_device_counts_as_lost_within_two_seconds_and_one_just_started_within_four() -> None:
    running_s = (0.0, 0.1, 0.1, 0.1, 0.1)
    assert measured_gaps(*running_s, 2.0, ask=_Counting.lost)[-1]
    assert not measured_gaps(0.0, 0.0, 2.0, ask=_Counting.lost)[-1]
    assert measured_gaps(0.0, 0.0, 4.0, ask=_Counting.lost)[-1]


def test_a_device_that_only_fills_its_buffer_does_not_play_yet() -> None:
    filling_s, playing_s = (0.0, 0.0, 0.0, 0.01, 0.0), (1.3, 0.12, 0.12)
    assert not any(measured_gaps(*filling_s, 0.5, ask=_Counting.plays))
    assert measured_gaps(*filling_s, *playing_s, ask=_Counting.plays)[-1]


def test_a_computer_that_held_everything_up_is_not_taken_for_a_lost_device() -> None:
    """Both the looks and the callbacks stood still for three seconds; only what stays still is lost."""
    clock = Clock()
    silent: list[SilentSpeaker] = []

    class Stalled(SilentSpeaker):
        name = "stalled"

        def start(self) -> None:
            silent.append(self)

        def lost(self, now_s: float) -> bool:
            return _Counting.lost(self, now_s)

    output = Output(SpeakerBeingOpened(Player(), lambda player: Stalled(player, clock=clock)), clock=clock)
    block = np.zeros(480, dtype=np.float32)
    for _ in range(10):
        silent[0]._fill(block, 0.0)
        clock.now_s += 0.1
        assert output.look_after() == ""
    clock.now_s += 3.0
    assert output.look_after() == ""
    silent[0]._fill(block, 0.0)
    clock.now_s += 0.1
    assert output.look_after() == ""
    for _ in range(round(10 * PATIENCE_S) + 1):
        clock.now_s += 0.1
        told = output.look_after()
    assert told != ""
    output.close()


def test_looks_that_come_late_again_and_again_have_a_device_waited_for() -> None:
    """As with several times the work that the computer can do; a device that is gone for good is not held."""
    clock = Clock()

    class Starved(SilentSpeaker):
        gone = False

        def start(self) -> None:
            pass

        def lost(self, now_s: float) -> bool:
            return _Counting.lost(self, now_s)

        def ended(self) -> bool:
            return Starved.gone

    output = Output(SpeakerBeingOpened(Player(), lambda player: Starved(player, clock=clock)), clock=clock)
    for _ in range(30):
        clock.now_s += 0.2
        assert output.look_after() == ""
    Starved.gone = True
    clock.now_s += 0.2
    assert output.look_after() != ""
    output.close()


def test_after_an_underrun_the_stream_fills_its_buffer_first_as_after_a_start() -> None:
    clock = Clock()
    speaker = SilentSpeaker(Player(), clock=clock)
    speaker.buffer_s = 0.5
    block = np.zeros(480, dtype=np.float32)
    for _ in range(10):
        clock.now_s += 0.1
        speaker._fill(block, 0.0)
    speaker._await_first()  # what the callback does when the device tells of an underrun
    speaker._fill(block, 0.0)
    assert not _Counting.lost(speaker, clock.now_s + 2.0)
    assert _Counting.lost(speaker, clock.now_s + 4.0)


class Second(Device):
    """A device that is told what it plays."""

    name = "loop"


def test_a_second_output_that_is_lost_is_told_once_and_taken_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(output_module, "RETRY_S", 0.01)
    monkeypatch.setattr(output_module, "LATER_RETRY_S", 0.01)
    opened: list[Second] = []
    there = threading.Event()
    there.set()

    def opener(words: VoiceAlone, name: str) -> Speaker:
        assert name == "LOOP"
        if not there.is_set():
            raise SoundError("gone")
        opened.append(Second(cast(Player, words)))
        return opened[-1]

    told: list[tuple[str, str]] = []
    second = SecondOutput(
        Player(), lambda _in_s: 0, "LOOP", opener=opener, tell=lambda *event: told.append(event)
    )
    wait_for(lambda: told == [("voice to", "loop")])
    assert second.notice() == ""
    there.clear()
    opened[0].gone = True
    wait_for(lambda: told[1:] == [("voice lost", "LOOP")])
    assert second.notice() == said("machine.voice-lost").format(name="LOOP")
    time.sleep(0.1)
    assert second.notice() == ""
    there.set()
    wait_for(lambda: told[2:] == [("voice to", "loop")])
    second.close()
    assert len(opened) == 2


def test_a_second_output_that_hangs_holds_nothing_up() -> None:
    hung = threading.Event()

    def opener(_words: VoiceAlone, _name: str) -> Speaker:
        hung.wait(30)
        raise SoundError("gone")

    began_s = time.monotonic()
    second = SecondOutput(Player(), lambda _in_s: 0, "LOOP", opener=opener)
    assert second.notice() == ""
    assert time.monotonic() - began_s < 0.5
    second.close()
    assert time.monotonic() - began_s < 5
    hung.set()


def test_an_output_is_found_by_its_name_or_a_part_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    names = {"Microphone Loop": 0, "Hearing loop (USB)": 2, "Loop": 1, "Built-in": 2}
    devices = [{"name": name, "max_output_channels": channels} for name, channels in names.items()]
    library = SimpleNamespace(query_devices=lambda: devices, PortAudioError=OSError)
    monkeypatch.setitem(sys.modules, "sounddevice", library)
    asked = ("loop", "hearing", "LOOP (usb)", "hearing loop (USB)")
    assert [output_called(name) for name in asked] == [2, 1, 1, 1]
    with pytest.raises(NotFoundError, match=r"called “Microphone”.*Hearing loop .USB., Loop, Built-in"):
        output_called("Microphone")

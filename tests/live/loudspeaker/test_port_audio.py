"""PortAudio as it is when the sound server has just died, or is slow: a stand-in that waits."""

from __future__ import annotations

import atexit
import sys
import threading
import time
from collections.abc import Callable
from functools import partial
from types import SimpleNamespace

import numpy as np
import pytest

from caller.errors import SoundError
from caller.live.loudspeaker import speakers
from caller.live.loudspeaker.output import Output, SpeakerBeingOpened, open_second
from caller.live.loudspeaker.player import Player, VoiceAlone
from caller.live.loudspeaker.speakers import PortAudioSpeaker
from caller.live.words import said


def never() -> None:
    threading.Event().wait()


def farewell() -> None:
    """Stand in for what the library does at the end of the program."""


@pytest.fixture
def at_exit(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """What is done at the end of the program."""
    calls: list[object] = [farewell]
    monkeypatch.setattr(atexit, "register", calls.append)
    monkeypatch.setattr(atexit, "unregister", lambda call: calls.remove(call) if call in calls else None)
    return calls


def library(*, abort: Callable[[], None], start: Callable[[], None]) -> SimpleNamespace:
    stream = SimpleNamespace(device=0, latency=0.5, active=True, abort=abort, start=start, close=never)
    return SimpleNamespace(
        OutputStream=lambda **_: stream,
        PortAudioError=OSError,
        query_devices=lambda _device: {"name": "hall"},
        _exit_handler=farewell,
        _terminate=lambda: None,
        _initialize=lambda: None,
    )


@pytest.mark.parametrize(("abort", "start"), [(never, lambda: None), (lambda: None, never)])
def test_a_sound_system_that_never_answers_ends_neither_the_lesson_nor_the_program(
    abort: Callable[[], None],
    start: Callable[[], None],
    monkeypatch: pytest.MonkeyPatch,
    at_exit: list[object],
) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", library(abort=abort, start=start))
    speaker = PortAudioSpeaker(Player())
    assert at_exit == [farewell]
    began_s = time.monotonic()
    speaker.cut()
    assert not speaker.ended(), "slow is not gone"
    monkeypatch.setattr(speakers, "FIRST_PATIENCE_S", 0.1)
    assert speaker.ended()
    speaker.close()
    assert time.monotonic() - began_s < 5
    assert at_exit == []


def test_one_that_answers_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    both = library(abort=lambda: asked.append("abort"), start=lambda: asked.append("start"))
    monkeypatch.setitem(sys.modules, "sounddevice", both)
    speaker = PortAudioSpeaker(Player())
    speaker.cut()
    assert asked == ["abort", "start"]
    assert not speaker.ended()


def test_one_that_refuses_to_go_on_is_gone_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse() -> None:
        raise OSError

    monkeypatch.setitem(sys.modules, "sounddevice", library(abort=refuse, start=lambda: None))
    speaker = PortAudioSpeaker(Player())
    speaker.cut()
    assert speaker.ended()


def test_one_that_is_slow_to_begin_anew_is_not_lost_and_takes_nothing_of_the_lesson_before(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """As under a heavy load: cutting took 1.16 s there."""
    monkeypatch.setattr(speakers, "_ANSWER_S", 0.05)
    may, asked = threading.Event(), []

    def abort() -> None:
        may.wait(10)
        asked.append("abort")

    monkeypatch.setitem(sys.modules, "sounddevice", library(abort=abort, start=lambda: asked.append("start")))
    player = Player()
    speaker = PortAudioSpeaker(player)
    speaker.cut()
    block, times = np.ones((480, 1), np.float32), SimpleNamespace(currentTime=0.0, outputBufferDacTime=0.1)
    ask = partial(speaker._callback, block, 480, times, SimpleNamespace(output_underflow=False))
    ask()  # the buffer that is to be thrown away is filled still
    assert player.written == 0
    assert not block.any()
    speaker.cut()  # a second press meanwhile asks for nothing else
    assert not speaker.lost(time.monotonic())
    may.set()
    assert speaker._asked is not None
    assert not speaker._asked.waits(5)
    assert asked == ["abort", "start"]
    ask()
    assert player.written == 480
    assert not speaker.ended()


def test_one_that_cannot_even_be_opened_does_not_hold_up_the_end_of_the_program(
    monkeypatch: pytest.MonkeyPatch, at_exit: list[object]
) -> None:
    hangs, over = threading.Event(), threading.Event()

    def opened(**_: object) -> None:
        hangs.set()
        over.wait(30)
        raise OSError

    sounds = library(abort=never, start=never)
    sounds.OutputStream = opened
    monkeypatch.setitem(sys.modules, "sounddevice", sounds)
    refused: list[SoundError] = []

    def opening() -> None:
        try:
            PortAudioSpeaker(Player())
        except SoundError as error:
            refused.append(error)

    thread = threading.Thread(target=opening, daemon=True)
    thread.start()
    assert hangs.wait(5)
    assert at_exit == []
    over.set()  # else what it hides of the standard error would stay hidden for all tests to come
    thread.join(5)
    assert (len(refused), at_exit) == (1, [farewell])


def test_one_that_never_starts_holds_nothing_up_and_is_lost(
    monkeypatch: pytest.MonkeyPatch, at_exit: list[object]
) -> None:
    """A sound server that hangs as the lesson begins: the lesson begins at once all the same."""
    monkeypatch.setitem(sys.modules, "sounddevice", library(abort=never, start=never))
    there = [PortAudioSpeaker(Player())]

    def opener(_player: Player) -> PortAudioSpeaker:
        if not there:
            raise SoundError("no other")
        return there.pop()

    told: list[str] = []
    began_s = time.monotonic()
    output = Output(SpeakerBeingOpened(Player(), opener), tell=lambda event, _device: told.append(event))
    assert time.monotonic() - began_s < 3
    assert output.look_after() == ""
    monkeypatch.setattr(speakers, "FIRST_PATIENCE_S", 0.1)
    assert output.look_after() == said("machine.lost")
    assert (output.searching, told) == (True, ["sound lost"])
    assert at_exit == []
    output.close()


@pytest.mark.parametrize("has", [1, 2])
@pytest.mark.parametrize("wide", [False, True])
def test_left_and_right_are_asked_for_only_where_a_hall_has_both(
    wide: bool, has: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []

    def opened(*, channels: int, **_: object) -> SimpleNamespace:
        asked.append(channels)
        if channels > has:
            raise OSError("Invalid number of channels", -9998)
        return SimpleNamespace(device=0, latency=0.5, active=True)

    there = library(abort=never, start=never)
    there.OutputStream = opened
    monkeypatch.setitem(sys.modules, "sounddevice", there)
    player = Player()
    player.wide = wide
    speaker = PortAudioSpeaker(player)
    assert asked == ([1] if not wide else [2] if has == 2 else [2, 1])
    block = np.ones((480, asked[-1]), np.float32)
    times = SimpleNamespace(currentTime=0.0, outputBufferDacTime=0.1)
    speaker._callback(block, 480, times, SimpleNamespace(output_underflow=False))
    assert player.written == 480
    assert not block.any()


def test_a_new_list_of_devices_first_closes_what_plays_beside(monkeypatch: pytest.MonkeyPatch) -> None:
    """PortAudio frees every stream with its list: one that is asked afterwards would crash the program."""
    calls: list[str] = []

    def opened(*, device: int | None, latency: float, **_: object) -> SimpleNamespace:
        calls.append(f"opened {device}")
        assert device is None or latency < speakers.LATENCY_S
        close = partial(calls.append, f"closed {device}")
        return SimpleNamespace(device=0, latency=0.2, active=True, abort=lambda: None, close=close)

    there = library(abort=never, start=never)
    there.OutputStream = opened
    there.query_devices = lambda device=None: (
        {"name": "x"} if device == 0 else [{"name": "Loop", "max_output_channels": 2}]
    )
    there._terminate = partial(calls.append, "terminated")
    monkeypatch.setitem(sys.modules, "sounddevice", there)
    PortAudioSpeaker(Player())
    second = open_second(VoiceAlone(Player()), "loop")
    assert second in speakers.SECONDS
    PortAudioSpeaker(Player())
    assert calls == ["terminated", "opened None", "opened 0", "closed 0", "terminated", "opened None"]
    assert not speakers.SECONDS

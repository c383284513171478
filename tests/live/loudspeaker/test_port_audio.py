"""PortAudio as it is when the sound server has just died: a stand-in that waits for ever."""

from __future__ import annotations

import atexit
import sys
import threading
import time
from collections.abc import Callable
from types import SimpleNamespace

import pytest

from caller.errors import SoundError
from caller.live.loudspeaker.output import Output
from caller.live.loudspeaker.player import Player
from caller.live.loudspeaker.speakers import PortAudioSpeaker


def never() -> None:
    threading.Event().wait()


def farewell() -> None:
    """Stand in for what the library does at the end of the program."""


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
    abort: Callable[[], None], start: Callable[[], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", library(abort=abort, start=start))
    forgotten: list[object] = []
    monkeypatch.setattr(atexit, "unregister", forgotten.append)
    speaker = PortAudioSpeaker(Player())
    began_s = time.monotonic()
    speaker.cut()
    speaker.close()
    assert time.monotonic() - began_s < 5
    assert speaker.ended()
    assert forgotten[0] is farewell


def test_one_that_answers_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    both = library(abort=lambda: asked.append("abort"), start=lambda: asked.append("start"))
    monkeypatch.setitem(sys.modules, "sounddevice", both)
    speaker = PortAudioSpeaker(Player())
    speaker.cut()
    assert asked == ["abort", "start"]
    assert not speaker.ended()


def test_one_that_never_starts_is_as_good_as_none(monkeypatch: pytest.MonkeyPatch) -> None:
    """A sound server that hangs as the lesson begins: it begins without sound, and at once."""
    monkeypatch.setitem(sys.modules, "sounddevice", library(abort=never, start=never))
    forgotten: list[object] = []
    monkeypatch.setattr(atexit, "unregister", forgotten.append)
    speakers = [PortAudioSpeaker(Player())]

    def opener(_player: Player) -> PortAudioSpeaker:
        if not speakers:
            raise SoundError("no other")
        return speakers.pop()

    told: list[str] = []
    began_s = time.monotonic()
    output = Output(Player(), opener=opener, tell=lambda event, _device: told.append(event))
    assert time.monotonic() - began_s < 3
    assert output.searching
    assert told == ["no speaker"]
    assert forgotten[0] is farewell
    output.close()

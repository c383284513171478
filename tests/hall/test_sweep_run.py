"""A sound system that hangs while a hall is measured: told in one sentence, and Ctrl-C ends the waiting."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest

from caller.cli import hall as hall_verb
from caller.cli import main
from caller.errors import SoundError
from caller.hall import sweep_run
from caller.hall.sweep_run import NO_ANSWER, answered

WHERE = ("opening", "start", "abort")


@pytest.fixture
def hang() -> Iterator[Callable[..., None]]:
    """A call that never returns, until the test is over."""
    over = threading.Event()

    def never(*_: object, **__: object) -> None:
        over.wait()

    yield never
    over.set()


@pytest.fixture
def farewells(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """What would no longer be done at the end of the program: it would wait for the same server."""
    gone: list[object] = []
    monkeypatch.setattr("atexit.unregister", gone.append)
    return gone


def library(where: str, hang: Callable[..., None]) -> SimpleNamespace:
    """Return a stand-in for sounddevice that hangs in one of its calls."""

    def fine(*_: object, **__: object) -> None:
        pass

    calls = {name: hang if where == name else fine for name in WHERE}
    stream = SimpleNamespace(start=calls["start"], abort=calls["abort"], close=fine, device=0)

    def opened(**_: object) -> SimpleNamespace:
        calls["opening"]()
        return stream

    return SimpleNamespace(
        InputStream=opened, OutputStream=opened, PortAudioError=OSError, _exit_handler=fine,
        query_devices=lambda *_: {"name": "hall"},
    )  # fmt: skip


@pytest.fixture(autouse=True)
def soon(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name, value in (("_ANSWERS_S", 0.2), ("_ENDS_S", 0.2), ("_STARVED_S", -14.0)):
        monkeypatch.setattr(sweep_run, name, value)
    monkeypatch.setattr(hall_verb, "WARNING_S", 0)
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("where", WHERE)
def test_a_sound_system_that_never_answers_is_one_sentence(
    where: str,
    hang: Callable[..., None],
    farewells: list[object],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    sounds = library(where, hang)
    monkeypatch.setitem(sys.modules, "sounddevice", sounds)
    began_s = time.monotonic()
    assert main(["hall", "measure", "gym"]) == 1
    assert time.monotonic() - began_s < 5
    # A device that never takes a sample, and then cannot be stopped either, is told as the first of these.
    said = sweep_run.STOPPED if where == "abort" else NO_ANSWER
    assert capsys.readouterr().err.splitlines()[-1] == f"hall-caller: {said}"
    assert sounds._exit_handler in farewells


@pytest.mark.skipif(os.name != "posix", reason="Windows sends no such signal to itself")
def test_ctrl_c_ends_the_waiting_for_a_sound_system_that_hangs(
    hang: Callable[..., None], farewells: list[object], monkeypatch: pytest.MonkeyPatch
) -> None:
    def pressed() -> None:
        threading.Timer(0.2, os.kill, (os.getpid(), signal.SIGINT)).start()
        hang()

    sounds = library("opening", pressed)
    monkeypatch.setitem(sys.modules, "sounddevice", sounds)
    monkeypatch.setattr(sweep_run, "_ANSWERS_S", 30.0)
    began_s = time.monotonic()
    assert main(["hall", "measure", "gym"]) == 130
    assert time.monotonic() - began_s < 20
    assert sounds._exit_handler in farewells


def test_what_a_call_gives_or_raises_comes_through() -> None:
    assert answered(lambda: 3) == 3
    with pytest.raises(ZeroDivisionError):
        answered(lambda: 1 // 0)


def test_a_call_that_comes_too_late_is_not_waited_for(hang: Callable[..., None]) -> None:
    with pytest.raises(SoundError, match="does not answer"):
        answered(hang)

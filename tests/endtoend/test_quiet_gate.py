"""The quiet gate in the real program: a class made of noise, a microphone that only tells how loud it is."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.endtoend.conftest import RATE, REAL_TIME, SoundServer, caller_command

pytestmark = pytest.mark.endtoend

LESSON = """
title = "One clock"
class = "Terns"
step = "quarters"
seed = 3
think_seconds = 5
catch_up = { kind = "everyone", seconds = 12 }
calm_last_round = false
[opening]
safety = false
warm_up_seconds = 0
[worked_example]
skip = true
[practice]
skip = true
[close]
breaths = 0
[voice]
rate_wpm = 220
[[round]]
time = "9:30"
wrong = "10:30"
"""
QUIET, LOUD = 0.001, 0.1  # -60 and -20 dB of full scale


class Crowd:
    """Noise in a null sink of its own, whose monitor is the microphone, as loud as we set it."""

    def __init__(self, server: SoundServer) -> None:
        self.amplitude = QUIET
        self.quiet_s = 0.0
        self._server = server
        self._module = server.control(
            "load-module", "module-null-sink", "sink_name=crowd", f"rate={RATE}"
        ).strip()
        server.control("set-default-sink", "hall")
        server.control("set-default-source", "crowd.monitor")
        self._player = subprocess.Popen(
            [
                *REAL_TIME,
                "pacat",
                "-p",
                "-d",
                "crowd",
                "--latency-msec=200",
                "--format=float32le",
                f"--rate={RATE}",
                "--channels=1",
                "--raw",
            ],
            stdin=subprocess.PIPE,
            env=os.environ | server.environment,
        )
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._sound, daemon=True)
        self._thread.start()

    def hush(self) -> None:
        self.amplitude, self.quiet_s = QUIET, time.monotonic()

    def _sound(self) -> None:
        rng = np.random.default_rng(1)
        assert self._player.stdin is not None
        while not self._stop.is_set():
            block = self.amplitude * rng.standard_normal(RATE // 50)
            self._player.stdin.write(block.astype("<f4").tobytes())
            self._player.stdin.flush()

    def close(self) -> None:
        self._stop.set()
        self._thread.join()
        self._player.terminate()
        self._player.wait()
        self._server.control("unload-module", self._module)


@contextmanager
def crowd_in(server: SoundServer) -> Iterator[Crowd]:
    crowd = Crowd(server)
    try:
        time.sleep(1.0)
        yield crowd
    finally:
        crowd.close()


class Running:
    """The real program on the short lesson."""

    def __init__(
        self,
        folder: Path,
        cache: Path,
        environment: dict[str, str],
        *words: str,
        before: Sequence[str] = (),
        lesson: str = LESSON,
    ) -> None:
        script = folder / "one-clock.toml"
        script.write_text(lesson, encoding="utf-8")
        self.log = folder / "log"
        command = caller_command("run", str(script), "--window", "--replace", "--log", str(self.log), *words)
        self.process = subprocess.Popen(
            [*before, *command],
            env=os.environ
            | environment
            | {
                "SDL_VIDEODRIVER": "dummy",
                "XDG_CACHE_HOME": str(cache),
                "XDG_DATA_HOME": str(folder / "data"),
                "PYTHONDONTWRITEBYTECODE": "1",
            },
            stderr=subprocess.PIPE,
            text=True,
        )

    def events(self) -> list[dict[str, Any]]:
        lines = self.log.read_text(encoding="utf-8").splitlines() if self.log.is_file() else []
        return [json.loads(line) for line in lines if line.endswith("}")]

    def wait_for(self, event: str, *, within_s: float = 120.0, **facts: Any) -> dict[str, Any]:
        give_up_s = time.monotonic() + within_s
        while time.monotonic() < give_up_s:
            for each in self.events():
                if each["event"] == event and facts.items() <= each.items():
                    return each
            assert self.process.poll() is None or event == "finished", self.process.communicate()[1]
            time.sleep(0.02)
        raise AssertionError(f"no {event} {facts}: {self.events()[-3:]}")

    def ends_well(self) -> None:
        _, errors = self.process.communicate(timeout=120)
        assert self.process.returncode == 0, errors
        assert "Traceback" not in errors
        assert self.events()[-1]["event"] == "finished"


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


def test_the_next_call_waits_for_a_class_that_is_loud(
    sound_server: SoundServer, tmp_path: Path, cache: Path
) -> None:
    with crowd_in(sound_server) as crowd:
        lesson = Running(tmp_path, cache, sound_server.environment, "--quiet-gate", "40")
        lesson.wait_for("call", kind="catch-up")
        crowd.amplitude = LOUD
        time.sleep(22.0)  # longer than the catch-up lasts
        assert not [each for each in lesson.events() if each["event"] in {"let through", "finished"}]
        assert [each for each in lesson.events() if each["event"] == "call"][-1]["kind"] == "catch-up"
        crowd.hush()
        went_on = lesson.wait_for("let through", within_s=10.0)
        after = lesson.wait_for("call", kind="close", within_s=10.0)
        assert went_on["why"] == "quiet"
        assert went_on["held_s"] > 2.0
        assert 0.4 < went_on["steady"] - crowd.quiet_s < 3.0
        assert after["steady"] > went_on["steady"]
        lesson.ends_well()


def test_a_lasting_din_is_waited_for_no_longer_than_asked(
    sound_server: SoundServer, tmp_path: Path, cache: Path
) -> None:
    with crowd_in(sound_server) as crowd:
        lesson = Running(tmp_path, cache, sound_server.environment, "--quiet-gate", "3")
        lesson.wait_for("call", kind="catch-up")
        crowd.amplitude = LOUD
        went_on = lesson.wait_for("let through")
        assert went_on["why"] == "limit"
        assert went_on["held_s"] == pytest.approx(3.0, abs=0.5)
        lesson.ends_well()


def test_without_a_sound_system_the_lesson_goes_on(tmp_path: Path, cache: Path) -> None:
    nowhere = {"PULSE_SERVER": f"unix:{tmp_path}/nothing", "HOME": str(tmp_path)}
    lesson = Running(tmp_path, cache, nowhere, "--quiet-gate", "40", "--mute")
    assert lesson.wait_for("let through")["why"] == "no microphone"
    lesson.ends_well()


WRITING = ("write", "writev", "pwrite64", "pwritev", "pwritev2", "sendfile", "copy_file_range", "splice")
TOUCHING = ",".join(("execve", "clone", "clone3", "open", "openat", "creat", *WRITING))
# Not files: pipes, sockets, counters, memory, devices.
NO_FILE = re.compile(r"(pipe|socket|UNIX|UNIX-STREAM|TCP|NETLINK|anon_inode|/dev/|/memfd:|/proc/)")


@pytest.mark.skipif(shutil.which("strace") is None, reason="needs strace (installed by .ci/run)")
def test_nothing_from_the_microphone_reaches_a_file(
    sound_server: SoundServer, tmp_path: Path, cache: Path
) -> None:
    """Every write of the process that hears, seen by strace, goes to a pipe, a socket or memory."""
    trace = tmp_path / "trace"
    with crowd_in(sound_server) as crowd:
        crowd.amplitude = LOUD / 10
        lesson = Running(
            tmp_path, cache, sound_server.environment, "--quiet-gate", "2", before=traced_to(trace)
        )
        assert lesson.wait_for("let through", within_s=200.0)["why"] in {"quiet", "limit"}
        lesson.ends_well()
    the_hearer_wrote_no_file(trace)
    # And the process that is told the levels keeps none of them either.
    events = lesson.events()
    assert not any("level" in key or key.endswith("_db") for event in events for key in event)


def traced_to(trace: Path) -> tuple[str, ...]:
    """Return the words that have a program traced into a file."""
    return ("strace", "-f", "-y", "--seccomp-bpf", "-s", "64", "-e", f"trace={TOUCHING}", "-o", str(trace))


def the_hearer_wrote_no_file(trace: Path) -> None:
    """Look at every write of the process that hears: it goes to a pipe, a socket or memory."""
    calls = [
        line.split(maxsplit=1) for line in trace.read_text(encoding="utf-8", errors="replace").splitlines()
    ]
    worker = next(pid for pid, call in calls if call.startswith("execve(") and "level_worker" in call)
    own = threads_of(worker, calls)
    assert len(own) > 1  # the sound system calls back in a thread of its own
    written: list[str] = []
    opened: list[str] = []
    for pid, call in calls:
        if pid not in own:
            continue
        found = re.match(rf"({'|'.join(WRITING)})\(\d+<([^>]*)>", call)
        if found:
            written.append(found[2])
        elif re.match(r"(open|openat|creat)\(", call) and re.search(r"O_WRONLY|O_RDWR|O_CREAT", call):
            path = re.search(r'"([^"]*)"', call)
            assert path is not None
            opened.append(path[1])
    assert sum("pipe" in each for each in written) > 50  # it did hear, and told levels
    assert [each for each in written if not NO_FILE.match(each)] == []
    # The sound system's own key, made before anything is heard.
    assert [each for each in opened if not NO_FILE.match(each) and not each.endswith("/pulse/cookie")] == []


def threads_of(worker: str, calls: Sequence[Sequence[str]]) -> set[str]:
    """Return the process and every thread it began; strace -f gives each a number of its own."""
    own = {worker}
    begun = next(i for i, (pid, call) in enumerate(calls) if pid == worker and call.startswith("execve("))
    for pid, call in calls[begun:]:
        child = re.search(r"clone3?.*= (\d+)$", call)
        if pid in own and child:
            own.add(child[1])
    return own

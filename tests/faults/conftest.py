"""A lesson under way, something going wrong for real, and the table of what came of it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.endtoend.conftest import (
    RATE,
    REAL_TIME,
    SoundServer,
    pytest_collection_modifyitems,
    read_raw,
    screen,
)
from tests.faults.table import Outcome, write_table

__all__ = ["pytest_collection_modifyitems", "screen"]

RECOVERY_S = 2.0
BLOCK_S = 0.05
TABLE = "FAULTS_TABLE"
OUTCOMES = pytest.StashKey[list[Outcome]]()

LESSON = """
title = "One clock"
class = "Terns"
step = "quarters"
seed = 3
think_seconds = 4
catch_up = { kind = "none" }
close = { breaths = 0 }
[opening]
safety = false
warm_up_seconds = 0
[worked_example]
skip = true
[practice]
skip = true
[voice]
rate_wpm = 200
[[round]]
time = "9:30"
wrong = "10:30"
"""


@dataclass
class Lesson:
    """The real program, running the short lesson in a window."""

    process: subprocess.Popen[str]
    log: Path
    errors: Path

    def events(self) -> list[dict[str, Any]]:
        """Return what the program's own log says so far."""
        lines = self.log.read_text(encoding="utf-8").splitlines() if self.log.is_file() else []
        return [json.loads(line) for line in lines if line.endswith("}")]

    def wait_for(
        self, wanted: str, *, after_s: float = 0.0, within_s: float = 60.0, **facts: Any
    ) -> dict[str, Any]:
        """Return the first such event after a moment of the steady clock."""
        give_up_s = time.monotonic() + within_s
        while time.monotonic() < give_up_s:
            for event in self.events():
                if event["event"] == wanted and event["steady"] >= after_s and facts.items() <= event.items():
                    return event
            assert self.process.poll() is None or wanted == "finished", self.said()
            time.sleep(0.02)
        raise AssertionError(f"no {wanted!r} within {within_s} s: {self.events()[-5:]}, {self.said()}")

    def worker(self) -> int:
        """Return the process id of the voice."""
        found = subprocess.run(
            ["pgrep", "-P", str(self.process.pid), "-f", "voice_worker"],
            capture_output=True,
            text=True,
            check=True,
        )
        return int(found.stdout.split()[0])

    def said(self) -> str:
        """Return what the teacher would have read in the terminal."""
        return self.errors.read_text(encoding="utf-8")

    def end(self, *, within_s: float = 120.0) -> int:
        """Wait for the end and return the exit code; nobody saw a traceback."""
        code = self.process.wait(within_s)
        assert "Traceback" not in self.said(), self.said()
        return code

    def calls(self) -> list[int]:
        """Return the numbers of the calls that were heard, in order."""
        return [event["number"] for event in self.events() if event["event"] == "call"]

    def goes_on(self, calls: int = 2, *, within_s: float = 60.0) -> None:
        """Check that so many calls more are heard, or all to the end, and that none was left out."""
        want = self.calls()[-1] + calls
        give_up_s = time.monotonic() + within_s
        while self.process.poll() is None and self.calls()[-1] < want:
            assert time.monotonic() < give_up_s, self.events()
            time.sleep(0.05)
        if self.process.poll() is not None:
            assert self.end() == 0, self.said()
            assert self.events()[-1]["event"] == "finished"
        assert "Traceback" not in self.said(), self.said()
        heard = self.calls()
        assert heard == list(range(1, heard[-1] + 1))


StartLesson = Callable[..., Lesson]


@pytest.fixture
def sound(tmp_path: Path) -> Iterator[SoundServer]:
    """A sound server of this test's own, to be mistreated."""
    server = SoundServer(tmp_path / "sound")
    server.start()
    yield server
    server.stop()


@pytest.fixture
def quiet_environment(tmp_path_factory: pytest.TempPathFactory, tmp_path: Path) -> dict[str, str]:
    """Folders of this test's own, and the dummy screen; the speech of the short lesson is kept for all."""
    cache = tmp_path_factory.getbasetemp() / "faults-cache"
    return dict(os.environ) | {
        "XDG_CACHE_HOME": str(cache),
        "XDG_DATA_HOME": str(tmp_path / "data"),
        "SDL_VIDEODRIVER": "dummy",
        "PYTHONUNBUFFERED": "1",
    }


@pytest.fixture
def start_lesson(tmp_path: Path, quiet_environment: dict[str, str]) -> Iterator[StartLesson]:
    """Start the program on the short lesson; whatever is left of it at the end is killed."""
    started: list[subprocess.Popen[str]] = []

    def start(
        *words: str,
        environment: dict[str, str] | None = None,
        log: Path | None = None,
        before: tuple[str, ...] = REAL_TIME,  # what is timed is the program, not what else the machine does
        text: str = LESSON,
        folder: Path | None = None,  # where the program is, if not the one under test
    ) -> Lesson:
        script = tmp_path / "one-clock.toml"
        script.write_text(text, encoding="utf-8")
        log = log or tmp_path / "log"
        errors = tmp_path / "errors"
        with errors.open("w") as stream:
            process = subprocess.Popen(
                [
                    *before,
                    sys.executable,
                    "-m",
                    "caller",
                    "run",
                    str(script),
                    "--window",
                    "--replace",
                    "--log",
                    str(log),
                    *words,
                ],
                env=quiet_environment | (environment or {}) | ({"PYTHONPATH": str(folder)} if folder else {}),
                cwd=folder,
                stderr=stream,
                text=True,
            )
        started.append(process)
        return Lesson(process, log, errors)

    yield start
    for process in started:
        if process.poll() is None:
            process.send_signal(signal.SIGCONT)
            process.kill()
        process.wait()


def sounding_s(recording: Path) -> np.ndarray:
    """Return the moments, in seconds of a recording, at which anything sounds (50 ms blocks)."""
    samples = read_raw(recording)
    block = round(BLOCK_S * RATE)
    blocks = samples[: len(samples) // block * block].reshape(-1, block)
    return np.flatnonzero(np.abs(blocks).max(axis=1) > 1e-3) * BLOCK_S


def first_heard_s(recording: Path, *, ended_s: float) -> float:
    """Return when something had sounded at the latest, on the steady clock, from when the recording ended."""
    return float(ended_s - len(read_raw(recording)) / RATE + sounding_s(recording)[0] + BLOCK_S)


@pytest.fixture
def outcome(request: pytest.FixtureRequest) -> Callable[..., None]:
    """Note what came of a fault, for the table."""

    def note(fault: str, injected: str, noticed: str, recovered_s: float | None, lost: str) -> None:
        if recovered_s is not None:
            assert recovered_s <= RECOVERY_S, f"{fault}: {recovered_s:.2f} s"
        rows = request.session.stash.setdefault(OUTCOMES, [])
        rows.append(Outcome(fault, injected, noticed, recovered_s, lost))

    return note


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Write the table where the environment says so."""
    if TABLE in os.environ and session.stash.get(OUTCOMES, []):
        write_table(session.stash[OUTCOMES], Path(os.environ[TABLE]))

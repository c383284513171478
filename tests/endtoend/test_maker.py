"""A teacher's walk by keys alone: from the command to a lesson of eight clocks that passes check."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path

import pytest

from caller.lesson.library import read_lesson

pytest.importorskip("PySide6.QtWidgets", reason="the extra `maker` is not installed", exc_type=ImportError)

pytestmark = [
    pytest.mark.endtoend,
    pytest.mark.skipif(
        not (shutil.which("Xvfb") and shutil.which("xdotool")), reason="needs Xvfb and xdotool"
    ),
]

CLOCKS = ("3:30", "9:15", "6:45", "11:00", "2:30", "8:15", "5:45", "12:30")
OPEN_S = 60.0
"""A window that is not there by then never comes; the machine that checks may be busy."""


class Desk:
    """A screen, the maker on it, and a hand."""

    def __init__(self, folder: Path, display: str) -> None:
        self.folder = folder
        self.environment = os.environ | {
            "DISPLAY": display,
            "XDG_DATA_HOME": str(folder),
            "LANG": "en_GB.UTF-8",
            "LANGUAGE": "en_GB",
            "HOME": str(folder),
        }
        self.environment.pop("QT_QPA_PLATFORM", None)
        self.environment.pop("WAYLAND_DISPLAY", None)
        command = [sys.executable, "-P", "-m", "caller", "make"]
        self.maker = subprocess.Popen(command, env=self.environment)

    def hand(self, *words: str) -> str:
        command = ["xdotool", *words]
        return subprocess.run(
            command, env=self.environment, capture_output=True, text=True, check=True
        ).stdout

    def keys(self, *names: str) -> None:
        for name in names:
            self.hand("key", "--clearmodifiers", name)
            time.sleep(0.3)

    def window(self, name: str) -> str:
        give_up_s = time.monotonic() + OPEN_S
        while time.monotonic() < give_up_s:
            command = ["xdotool", "search", "--onlyvisible", "--name", name]
            done = subprocess.run(command, env=self.environment, capture_output=True, text=True, check=False)
            if done.stdout.split():
                return done.stdout.split()[-1]
            assert self.maker.poll() is None, "the maker has ended"
            time.sleep(0.3)
        raise AssertionError(f"there is no window called {name!r}")

    def draft(self) -> Path:
        return self.folder / "hall-caller" / "making" / "new.toml"

    def drafted(self) -> list[str]:
        """Return the clocks that would be there if the window closed now."""
        return [str(each.time) for each in read_lesson(self.draft()).rounds] if self.draft().exists() else []

    def has(self, rounds: int) -> bool:
        return len(self.drafted()) == rounds

    def shows(self, clocks: Sequence[str]) -> bool:
        return self.drafted() == list(clocks)

    def until(self, done: Callable[[], bool]) -> None:
        give_up_s = time.monotonic() + OPEN_S
        while not done():
            assert time.monotonic() < give_up_s, self.drafted()
            time.sleep(0.2)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    reading, writing = os.pipe()
    screen = subprocess.Popen(
        ["Xvfb", "-noreset", "-displayfd", str(writing), "-screen", "0", "1366x768x24"],
        pass_fds=[writing],
        stderr=subprocess.DEVNULL,
    )
    os.close(writing)
    with os.fdopen(reading) as told:
        display = f":{told.readline().strip()}"
    made = Desk(tmp_path, display)
    yield made
    made.maker.terminate()
    made.maker.wait(20)
    screen.terminate()
    screen.wait(20)


def test_from_the_command_to_an_own_lesson_of_eight_clocks_that_passes_check(desk: Desk) -> None:
    window = desk.window("Lesson maker")
    desk.hand("windowfocus", "--sync", window)
    time.sleep(1.0)
    for number, clock in enumerate(CLOCKS):
        if number:
            desk.keys("Insert")
            desk.until(partial(desk.has, rounds=number + 1))
        desk.keys("alt+t", "ctrl+a")
        desk.hand("type", "--delay", "60", clock)
        desk.keys("Return")
        desk.until(partial(desk.shows, CLOCKS[: number + 1]))
    desk.keys("alt+Up")  # the last clock, one place up
    turned = [*CLOCKS[:6], CLOCKS[7], CLOCKS[6]]
    desk.until(partial(desk.shows, turned))
    desk.keys("ctrl+z")
    desk.until(partial(desk.shows, CLOCKS))
    desk.keys("ctrl+y")
    desk.until(partial(desk.shows, turned))
    desk.keys("ctrl+s")
    desk.window("Save as")
    desk.keys("ctrl+a")
    target = desk.folder / "terns.toml"
    desk.hand("type", "--delay", "20", str(target))
    desk.keys("Return")
    desk.until(target.exists)
    assert [str(each.time) for each in read_lesson(target).rounds] == turned
    command = [sys.executable, "-P", "-m", "caller", "check", str(target)]
    done = subprocess.run(command, env=desk.environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
    assert not desk.draft().exists()

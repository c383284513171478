"""A teacher's walks from the command to a lesson of eight clocks that passes check: by keys, by a button."""

from __future__ import annotations

import os
import shutil
import struct
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Final

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.lesson.library import read_lesson

pytest.importorskip("PySide6.QtWidgets", reason="the extra `maker` is not installed", exc_type=ImportError)

from caller.maker.controls import LIT

pytestmark = [
    pytest.mark.endtoend,
    pytest.mark.skipif(
        not (shutil.which("Xvfb") and shutil.which("xdotool")), reason="needs Xvfb and xdotool"
    ),
]

CLOCKS = ("3:30", "9:15", "6:45", "11:00", "2:30", "8:15", "5:45", "12:30")
SIZE = "1366x768x24"
OPEN_S = 60.0
"""A window that is not there by then never comes; the machine that checks may be busy."""
LATE_S = 20.0
"""So long a busy machine may take to do what was pressed: it is not pressed again before."""


class Desk:
    """A screen, the maker on it, and a hand."""

    def __init__(self, folder: Path, display: str, *words: str) -> None:
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
        command = [sys.executable, "-P", "-m", "caller", "make", *words]
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

    def seen(self) -> NDArray[np.uint8]:
        """Return what the screen shows, as Xvfb keeps it (X Window Dump, version 7): blue, green, red."""
        dump = (self.folder / "Xvfb_screen0").read_bytes()
        fields = struct.unpack(">25I", dump[:100])
        header, width, height, line, colours = (fields[place] for place in (0, 4, 5, 12, 19))
        pixels = np.frombuffer(dump, np.uint8, height * line, header + 12 * colours)
        return pixels.reshape(height, line // 4, 4)[:, :width]

    def frame_at(self) -> int | None:
        """Return how far from the left the middle of the button is that has the frame."""
        lit = [int(LIT[place : place + 2], 16) for place in (5, 3, 1)]
        columns = np.flatnonzero((self.seen()[..., :3] == lit).all(axis=2).sum(axis=0) > 15)
        return None if not columns.size else round((columns[0] + columns[-1]) / 2)

    def draft(self) -> Path:
        return self.folder / "hall-caller" / "making" / "new.toml"

    def drafted(self) -> list[str]:
        """Return the clocks that would be there if the window closed now."""
        return [str(each.time) for each in read_lesson(self.draft()).rounds] if self.draft().exists() else []

    def has(self, rounds: int) -> bool:
        return len(self.drafted()) == rounds

    def has_at_least(self, rounds: int) -> bool:
        return len(self.drafted()) >= rounds

    def checks(self, script: Path) -> bool:
        command = [sys.executable, "-P", "-m", "caller", "check", str(script)]
        return subprocess.run(command, env=self.environment, capture_output=True, check=False).returncode == 0

    def shows(self, clocks: Sequence[str]) -> bool:
        return self.drafted() == list(clocks)

    def until(self, done: Callable[[], bool]) -> None:
        give_up_s = time.monotonic() + OPEN_S
        while not done():
            assert time.monotonic() < give_up_s, self.drafted()
            time.sleep(0.2)


@pytest.fixture
def desk(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Desk]:
    reading, writing = os.pipe()
    screen = subprocess.Popen(
        ["Xvfb", "-noreset", "-displayfd", str(writing), "-screen", "0", SIZE, "-fbdir", str(tmp_path)],
        pass_fds=[writing],
        stderr=subprocess.DEVNULL,
    )
    os.close(writing)
    with os.fdopen(reading) as told:
        display = f":{told.readline().strip()}"
    made = Desk(tmp_path, display, *getattr(request, "param", ()))
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
    assert desk.checks(target)
    assert not desk.draft().exists()


ROW: Final = ("hour", "minute", "add", "next", "undo", "hear", "save", "lead", "close")
"""The buttons of the row, from left to right."""


@pytest.mark.parametrize("desk", [("--one-button", "--pace", "5")], indirect=True)
def test_with_one_button_alone_a_lesson_of_eight_clocks_is_made_saved_and_passes_check(desk: Desk) -> None:
    desk.hand("windowfocus", "--sync", desk.window("Lesson maker"))
    began_s = time.monotonic()
    places: list[int] = []
    while len(places) < len(ROW):  # somebody who watches the frame go round
        assert time.monotonic() < began_s + OPEN_S
        at = desk.frame_at()
        if at is not None and all(abs(at - each) > 20 for each in places):
            places = sorted([*places, at])

    def press(name: str, done: Callable[[], bool]) -> None:
        wanted = places[ROW.index(name)]
        give_up_s = time.monotonic() + 2 * OPEN_S
        while not done():
            assert time.monotonic() < give_up_s, (name, desk.drafted())
            time.sleep(0.1)
            at = desk.frame_at()
            if at is not None and abs(at - wanted) < 20:
                desk.keys("space")
                pressed_s = time.monotonic()
                while not done() and time.monotonic() < pressed_s + LATE_S:
                    time.sleep(0.1)

    press("minute", lambda: desk.drafted() == ["4:00"])
    for number in range(2, 9):
        press("add", partial(desk.has_at_least, rounds=number))
    clocks = desk.drafted()
    target = desk.folder / "hall-caller" / "lessons" / "our-lesson.toml"
    press("save", target.exists)
    assert [str(each.time) for each in read_lesson(target).rounds] == clocks
    assert desk.checks(target)

"""A teacher walks from the icon to an own lesson of eight clocks, saved, checked, heard and led: by the mouse
alone, and by one button alone."""

from __future__ import annotations

import math
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from caller.lesson.library import read_lesson
from tests.endtoend.conftest import SoundServer, caller_command
from tests.endtoend.walking import LATE_S, Walk, walking

pytest.importorskip("PySide6.QtWidgets", reason="the extra `maker` is not installed", exc_type=ImportError)

pytestmark = [
    pytest.mark.endtoend,
    pytest.mark.timeout(900),
    pytest.mark.skipif(shutil.which("tesseract") is None, reason="needs tesseract (installed by .ci/run)"),
]

CLOCKS = ("3:30", "9:15", "6:45", "11:00", "2:30", "8:15", "5:45", "12:30")
MOST_S = 300.0
STOPPED_S = 7.0
"""Held so long, a button or a finger has stopped a lesson that asks first."""


@pytest.fixture
def walk(tmp_path: Path, sound_server: SoundServer) -> Iterator[Walk]:
    with walking(tmp_path, sound_server) as made:
        yield made


def clocks_of(walk: Walk) -> list[str]:
    """Return the clocks that would be there if the window closed now."""
    draft = walk.data / "making" / "new.toml"
    return [str(each.time) for each in read_lesson(draft).rounds] if draft.exists() else []


def has(walk: Walk, number: int) -> bool:
    return len(clocks_of(walk)) >= number


def shows(walk: Walk, clocks: Sequence[str]) -> bool:
    return clocks_of(walk) == list(clocks)


def saved(walk: Walk) -> list[Path]:
    return list((walk.data / "lessons").glob("*.toml"))


def passes_check(walk: Walk) -> bool:
    command = caller_command("check", str(saved(walk)[0]))
    return subprocess.run(command, env=walk.environment, capture_output=True, check=False).returncode == 0


class DialSeen:
    """The large dial of the lesson maker, found by its ring, and turned as a hand turns it."""

    def __init__(self, walk: Walk) -> None:
        self._walk = walk
        over = walk.place("turn the hands", small=True)
        under = walk.place("quarter to five", small=True, last=True)
        beside = walk.place("Let the caller choose", small=True)
        top, bottom = round(over.bottom) + 6, round(under.top) - 10
        left, right = round(over.left), round(beside.right)
        dark = walk.picture()[top:bottom, left:right].max(axis=2) < 60
        rows, columns = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
        self.x, self.y = left + (columns[0] + columns[-1]) / 2, top + (rows[0] + rows[-1]) / 2
        self.radius = (columns[-1] - columns[0]) / 2
        assert abs((rows[-1] - rows[0]) / 2 - self.radius) < 4, "that is no ring"

    def at(self, degrees: float, reach: float) -> tuple[float, float]:
        """Return a place on the dial: degrees from the twelve, and a share of its radius."""
        angle = math.radians(degrees)
        away = reach * self.radius
        return self.x + away * math.sin(angle), self.y - away * math.cos(angle)

    def turn(self, shown: str, wanted: str) -> None:
        """Put the long hand on a minute, and drag the short hand to an hour."""
        self._walk.press_at(*self.at(6 * int(wanted.split(":")[1]), 0.8))
        hour, minute = (int(part) for part in shown.split(":"))
        to_hour, to_minute = (int(part) for part in wanted.split(":"))
        # Past the twelve the short hand has gone along, as on a real clock.
        hour += (minute > 44 and to_minute < 16) - (minute < 16 and to_minute > 44)
        if (to_hour - hour) % 12:
            self._walk.drag([self.at(30 * each + to_minute / 2, 0.35) for each in (hour, to_hour, to_hour)])


def test_by_the_mouse_alone(walk: Walk) -> None:
    walk.click("Make a lesson")
    walk.click("A new lesson")
    add = walk.place("Add a clock", small=True).middle
    dial, shown = DialSeen(walk), "4:45"
    for number, clock in enumerate(CLOCKS):
        if number:
            walk.press_at(*add)
            walk.until(partial(has, walk, number + 1), "no clock is added")
            shown = clocks_of(walk)[-1]
        dial.turn(shown, clock)
        walk.until(partial(shows, walk, CLOCKS[: number + 1]), f"no {clock}")
    walk.place("8 clocks", small=True)
    walk.click("Save", small=True)
    walk.place("File name", small=True)
    walk.click("Save", small=True, last=True)
    walk.until(lambda: saved(walk), "nothing is saved")
    assert [str(each.time) for each in read_lesson(saved(walk)[0]).rounds] == list(CLOCKS)
    assert passes_check(walk)
    silence = walk.played()
    walk.click("Hear and see this call", small=True)
    walk.until_spoken(silence)
    walk.hold_mouse(600, 400, STOPPED_S)
    walk.place("Add a clock", small=True)
    assert not walk.led()  # nothing is kept of what is only tried out
    walk.click("Close", small=True)
    walk.click("Back", last=True)
    walk.click("Lead a lesson")
    walk.click("My own lessons")
    walk.click("Our lesson")
    walk.click("Go on", last=True)
    walk.until_gone("Sound check")
    walk.click("Go on", last=True)
    walk.until(walk.led, "no lesson begins")
    assert walk.took_s <= MOST_S


ROW = ("hour", "minute", "add", "next", "undo", "hear", "save", "lead", "close")
"""The buttons of the row in the lesson maker, from left to right."""


class ButtonsSeen:
    """Somebody who watches the frame go from button to button, and presses any key when it is there."""

    def __init__(self, walk: Walk) -> None:
        self._walk, self._places = walk, list[int]()
        give_up_s = time.monotonic() + LATE_S
        while len(self._places) < len(ROW):
            assert time.monotonic() < give_up_s, self._places
            at = walk.frame_at()
            if at is not None and all(abs(at - each) > 20 for each in self._places):
                self._places = sorted([*self._places, at])
            time.sleep(0.05)

    def press(self, name: str, done: Callable[[], object]) -> None:
        """Press a button when the frame comes to it, again if nothing came of it."""
        wanted, give_up_s = self._places[ROW.index(name)], time.monotonic() + LATE_S
        while not done():
            assert time.monotonic() < give_up_s, name
            at = self._walk.frame_at()
            if at is not None and abs(at - wanted) < 20:
                self._walk.hold(0.05)
                pressed_s = time.monotonic()
                while not done() and time.monotonic() < pressed_s + 3.0:
                    time.sleep(0.1)
            time.sleep(0.05)


def test_by_one_button_alone(walk: Walk) -> None:
    walk.place("Make a lesson")
    walk.step()
    walk.step()
    walk.hold()
    walk.place("A new lesson")
    walk.hold()
    walk.give_keys_to("Lesson maker")
    row = ButtonsSeen(walk)
    row.press("minute", lambda: clocks_of(walk) == ["4:00"])
    for number in range(2, 9):
        row.press("add", partial(has, walk, number))
    clocks = clocks_of(walk)
    assert len(clocks) == len(set(clocks)) == 8
    row.press("save", lambda: saved(walk))
    assert [str(each.time) for each in read_lesson(saved(walk)[0]).rounds] == clocks
    assert passes_check(walk)
    silence = walk.played()
    row.press("hear", lambda: walk.spoken(silence))
    walk.hold(STOPPED_S)
    assert not walk.led()  # nothing is kept of what is only tried out
    walk.give_keys_to("Lesson maker")
    row.press("close", lambda: not walk.window("Lesson maker"))
    walk.place("A ready lesson")
    for _ in range(3):  # past the ready lesson and the one just made
        walk.step()
    walk.hold()
    walk.place("Lead a lesson")
    for _ in range(4):  # round from the third picture to the first
        walk.step()
    walk.hold()
    walk.place("My own lessons")
    walk.hold()
    walk.place("Our lesson")
    walk.hold()
    walk.place("Sound check")
    walk.hold()
    walk.until_gone("Sound check")
    walk.hold()
    walk.until(walk.led, "no lesson begins")
    assert walk.took_s <= MOST_S

"""A substitute walks from the icon to the first spoken word: by keys, by mouse alone, by one button alone."""

from __future__ import annotations

import os
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest

from caller.live.start.standing_in import MINUTES, STEP_AT_AGE
from caller.record.store import Store
from caller.screen.menu import BarButton, Menu, Tile, tile_places
from tests.endtoend.conftest import Screen, SoundServer, caller_command, read_raw

pytestmark = pytest.mark.endtoend

MOST_PRESSES = 6
MOST_S = 60.0
SAID_S = 1.5
"""So much that is louder than LOUD is more than the tone before the words, of half a second at most."""
LOUD = 0.01
HELD_S = 1.4


@dataclass
class Walk:
    """The program started from nothing, a hand, and an ear."""

    screen: Screen
    folder: Path
    program: subprocess.Popen[bytes]
    recording: Path
    began_s: float = field(default_factory=time.monotonic)
    presses: int = 0

    def hand(self, *words: str) -> None:
        subprocess.run(["xdotool", *words], env=os.environ | self.screen.environment, check=True)

    def key(self, name: str) -> None:
        self.presses += 1
        self.hand("key", name)
        time.sleep(0.7)

    def click(self, count: int, number: int) -> None:
        """Press the picture `number` on a page of `count` pictures."""
        bar = (
            BarButton(sign="back", text="Back", key="Escape"),
            BarButton(sign="keys", text="Keys", key="H"),
        )
        menu = Menu(tiles=(Tile(title="?"),) * count, bar=bar)
        room = tile_places(menu, *self.screen.size).tiles[number]
        self.presses += 1
        self.hand("mousemove", str(round(room.centre_x)), str(round(room.centre_y)), "click", "1")
        time.sleep(0.7)

    def tap(self) -> None:
        """Press the mouse where it is."""
        self.presses += 1
        self.hand("click", "1")
        time.sleep(0.7)

    def step(self) -> None:
        """Press the one button shortly."""
        self.hand("keydown", "space")
        time.sleep(0.1)
        self.hand("keyup", "space")
        time.sleep(0.6)

    def hold(self) -> None:
        """Hold the one button until it has taken what is chosen."""
        self.presses += 1
        self.hand("keydown", "space")
        time.sleep(HELD_S)
        self.hand("keyup", "space")
        time.sleep(0.7)

    def until_spoken(self) -> float:
        """Wait for words from the loudspeaker; return the seconds that it took.

        They are those of the processor where that is less than the clock on the wall says: on a machine with
        other work to do, the rest was not ours.
        """
        while True:
            assert self.program.poll() is None, "the program has ended"
            assert time.monotonic() - self.began_s < 5 * MOST_S, "nothing is said"
            heard = np.abs(read_raw(self.recording)) if self.recording.exists() else np.zeros(0)
            blocks = (
                heard[: len(heard) // 480 * 480].reshape(-1, 480).max(axis=1) if len(heard) >= 480 else heard
            )
            if np.count_nonzero(blocks > LOUD) * 0.01 > SAID_S:
                worked = Path(f"/proc/{self.program.pid}/stat").read_text().rpartition(")")[2].split()
                ours_s = sum(map(int, worked[11:15])) / os.sysconf("SC_CLK_TCK")  # proc(5): utime to cstime
                return min(time.monotonic() - self.began_s, ours_s)
            time.sleep(0.3)

    def leave(self) -> None:
        self.hand("key", "Escape")
        time.sleep(1.0)

    def led(self) -> bool:
        """Tell whether a lesson has begun: it stands in the record."""
        return (self.folder / "hall-caller" / "record.sqlite3").exists()

    def until_led(self) -> None:
        give_up_s = time.monotonic() + MOST_S
        while not self.led():
            assert time.monotonic() < give_up_s
            time.sleep(0.3)


@pytest.fixture
def walk(tmp_path: Path, sound_server: SoundServer, screen: Screen) -> Iterator[Walk]:
    with walking(tmp_path, sound_server, screen) as made:
        yield made


@contextmanager
def walking(folder: Path, sound_server: SoundServer, screen: Screen) -> Iterator[Walk]:
    environment = (
        os.environ
        | sound_server.environment
        | screen.environment
        | {"XDG_DATA_HOME": str(folder), "XDG_CACHE_HOME": str(folder / "cache"), "LANGUAGE": "en_GB"}
    )
    recording = folder / "heard.raw"
    with sound_server.recording(recording):
        program = subprocess.Popen(caller_command(), env=environment)
        made = Walk(screen, folder, program, recording)
        try:
            give_up_s = time.monotonic() + MOST_S
            while not (folder / "hall-caller" / "lesson-running.lock").exists():
                assert time.monotonic() < give_up_s, "no start screen came"
                time.sleep(0.3)
            time.sleep(2.0)
            yield made
        finally:
            program.terminate()
            program.wait(20)


AGE, LONG = list(STEP_AT_AGE).index(7), MINUTES.index(20)


def test_by_keys(walk: Walk) -> None:
    for name in ("Right", "Return", "Return", "Return"):  # a substitute; seven years old; twenty minutes
        walk.key(name)
    took_s = walk.until_spoken()
    assert walk.presses <= MOST_PRESSES
    assert took_s <= MOST_S
    walk.key("Return")  # it is heard
    walk.key("Return")  # it is safe
    walk.until_led()
    assert walk.presses <= MOST_PRESSES
    with Store(walk.folder / "hall-caller" / "record.sqlite3") as store:
        assert not any(store.classes())  # nobody's lesson


def test_by_the_mouse_alone(walk: Walk) -> None:
    walk.click(4, 1)
    walk.click(len(STEP_AT_AGE), AGE)
    walk.click(len(MINUTES), LONG)
    assert walk.until_spoken() <= MOST_S
    walk.tap()
    walk.tap()
    walk.until_led()
    assert walk.presses <= MOST_PRESSES


def test_by_one_button_alone(walk: Walk) -> None:
    walk.step()
    walk.hold()
    walk.hold()
    walk.hold()
    assert walk.until_spoken() <= MOST_S
    walk.step()
    walk.step()
    walk.until_led()

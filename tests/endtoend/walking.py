"""Somebody at a computer: an icon to double-click, an eye that reads the screen, a hand, and an ear.

The eye is Tesseract (Debian's `tesseract-ocr`): where to press is found by the words that stand there, as a
person finds it, and never by asking the program.
"""

from __future__ import annotations

import csv
import io
import os
import shlex
import struct
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.endtoend.conftest import RATE, REAL_TIME, SoundServer, caller_command, read_raw

SIZE: Final = (1366, 768)
KEPT: Final = os.environ.get("HALL_CALLER_PICTURES")
"""A folder for what the eye saw, step by step, where somebody wants to look at it too."""
LATE_S: Final = 60.0
"""What is not there by then never comes."""
LOUD: Final = 0.01
SAID_S: Final = 1.5
"""So much that is louder than LOUD is more than the tone before the words, of half a second at most."""
HELD_S: Final = 1.4
_BUTTON: Final = "space"
_INK: Final = 60  # of 255: darker is only what is written, not what is drawn round it
LIT: Final = (0x4D, 0xD3, 0xFF)  # blue, green, red of the button that has the frame
# What is measured is the program: whatever else runs on this machine meanwhile comes after it.
_FIRST: Final = ("nice", "-n", "-10") if REAL_TIME else ()


@dataclass(frozen=True)
class Word:
    """A word that was read, and its box on the screen in pixels; words of one line stand in one `line`."""

    text: str
    line: tuple[str, ...]
    left: float
    top: float
    right: float
    bottom: float

    @property
    def middle(self) -> tuple[float, float]:
        """Return the place where a hand presses it."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2


@dataclass
class Walk:
    """The program started from its icon, and the one who uses it."""

    folder: Path
    environment: dict[str, str]
    program: subprocess.Popen[bytes]
    recording: Path
    began_s: float
    presses: int = 0
    seen: int = field(default=0, repr=False)

    @property
    def took_s(self) -> float:
        """How long it is since the double-click."""
        return time.monotonic() - self.began_s

    # The hand

    def hand(self, *words: str) -> str:
        """Have `xdotool` do something."""
        told = subprocess.run(
            ["xdotool", *words], env=self.environment, check=True, capture_output=True, text=True
        )
        return told.stdout

    def key(self, name: str) -> None:
        """Press a key."""
        self.presses += 1
        self.hand("key", name)
        time.sleep(0.7)

    def click(self, words: str, *, small: bool = False, last: bool = False) -> None:
        """Press the mouse on words that are read."""
        self.press_at(*self.place(words, small=small, last=last).middle)

    def press_at(self, x: float, y: float) -> None:
        """Press the mouse at a place, and take it out of the eye's way."""
        self.presses += 1
        self.hand("mousemove", str(round(x)), str(round(y)), "sleep", "0.1", "click", "1", "sleep", "0.2")
        self.hand("mousemove", str(SIZE[0] - 2), str(SIZE[1] // 2))
        time.sleep(0.3)

    def drag(self, spots: list[tuple[float, float]]) -> None:
        """Press the mouse at the first spot, and let it go at the last one."""
        self.presses += 1
        moves = [["mousemove", str(round(x)), str(round(y)), "sleep", "0.05"] for x, y in spots]
        self.hand(*moves[0], "mousedown", "1", *[word for move in moves[1:] for word in move], "mouseup", "1")
        time.sleep(0.3)

    def hold_mouse(self, x: float, y: float, seconds: float) -> None:
        """Hold the mouse button at a place."""
        self.presses += 1
        self.hand("mousemove", str(x), str(y), "mousedown", "1", "sleep", str(seconds), "mouseup", "1")
        time.sleep(0.5)

    def step(self) -> None:
        """Press the one button shortly."""
        self.hold(0.1)

    def hold(self, seconds: float = HELD_S) -> None:
        """Hold the one button until it has taken what is chosen."""
        self.presses += 1
        self.hand("keydown", _BUTTON, "sleep", str(seconds), "keyup", _BUTTON)
        time.sleep(0.6)

    def give_keys_to(self, title: str) -> None:
        """Give the keys to a window as soon as it is there, as a desktop does with a new one."""
        self.until(lambda: self.window(title), f"there is no window {title}")
        self.hand("windowfocus", "--sync", self.window(title))

    def window(self, title: str) -> str:
        """Return the number of the window of this title; nothing where there is none."""
        asked = ["xdotool", "search", "--onlyvisible", "--name", title]
        told = subprocess.run(asked, env=self.environment, capture_output=True, text=True, check=False)
        return (told.stdout.split() or [""])[-1]

    # The eye

    def picture(self) -> NDArray[np.uint8]:
        """Return what the screen shows, as Xvfb keeps it (X Window Dump, version 7): blue, green, red."""
        dump = (self.folder / "Xvfb_screen0").read_bytes()
        fields = struct.unpack(">25I", dump[:100])
        header, width, height, line, colours = (fields[place] for place in (0, 4, 5, 12, 19))
        pixels = np.frombuffer(dump, np.uint8, height * line, header + 12 * colours)
        return pixels.reshape(height, line // 4, 4)[:, :width, :3]

    def read(self, *, small: bool = False) -> list[Word]:
        """Return the words that stand on the screen: large ones on pages, or small ones in windows."""
        shown = Image.fromarray(np.ascontiguousarray(self.picture()[..., ::-1]))
        self.seen += 1
        if KEPT:
            shown.save(Path(KEPT) / f"{self.folder.name}-{self.seen:02}.png")
        grey = shown.convert("L")
        # Frames round what is chosen keep the reader from the words in them, and large letters are too large.
        ink = grey.point(lambda light: 255 * (light > _INK))
        found: list[Word] = []
        with tempfile.TemporaryDirectory() as folder:
            for scale in (2.0,) if small else (1.0, 0.5):
                name = Path(folder, "picture.png")
                sized = (grey if small else ink).resize(
                    (round(scale * grey.width), round(scale * grey.height))
                )
                sized.save(name, compress_level=1)
                told = subprocess.run(
                    [*_FIRST, "tesseract", str(name), "-", "--psm", "11", "tsv"],
                    env=os.environ | {"OMP_THREAD_LIMIT": "1"},
                    capture_output=True,
                    check=True,
                ).stdout.decode()
                for row in csv.DictReader(io.StringIO(told), delimiter="\t", quoting=csv.QUOTE_NONE):
                    text = (row["text"] or "").strip()
                    box = [int(row[key]) / scale for key in ("left", "top", "width", "height")]
                    line = (str(scale), row["block_num"], row["par_num"], row["line_num"])
                    if text:
                        found.append(Word(text, line, box[0], box[1], box[0] + box[2], box[1] + box[3]))
        return found

    def find(self, words: str, *, small: bool = False, last: bool = False) -> Word | None:
        """Return words that stand one after another on one line; the highest on the screen, or the lowest."""
        read, wanted = self.read(small=small), _letters(words)
        places: list[Word] = []
        for n, first in enumerate(read):
            letters = ""  # the reader loses a gap between words now and then
            for each in read[n:]:
                letters += _letters(each.text)
                if each.line != first.line or not wanted.startswith(letters):
                    break
                if letters == wanted:
                    places.append(replace(first, text=words, right=each.right))
                    break
        return sorted(places, key=lambda each: each.top)[-1 if last else 0] if places else None

    def place(self, words: str, *, small: bool = False, last: bool = False) -> Word:
        """Return where words stand, as soon as they do."""
        give_up_s = time.monotonic() + LATE_S
        while (found := self.find(words, small=small, last=last)) is None:
            assert self.program.poll() is None, "the program has ended"
            assert time.monotonic() < give_up_s, (words, [each.text for each in self.read(small=small)])
            time.sleep(0.3)
        return found

    def patch(self, red: int, green: int, blue: int) -> tuple[float, float]:
        """Return the middle of what has a colour, where the words on it are too pale for the reader."""
        rows, columns = np.nonzero((self.picture() == (blue, green, red)).all(axis=2))
        assert rows.size > 1000, "nothing has this colour"
        return float(np.median(columns)), float(np.median(rows))

    def frame_at(self) -> int | None:
        """Return how far from the left the middle of the button is that has the frame of the lesson maker."""
        columns = np.flatnonzero((self.picture() == LIT).all(axis=2).sum(axis=0) > 15)
        return None if not columns.size else round((columns[0] + columns[-1]) / 2)

    def until_gone(self, words: str, *, small: bool = False) -> None:
        """Wait until words do not stand there any more."""
        self.until(lambda: self.find(words, small=small) is None, f"{words} stays")

    def until(self, done: Callable[[], object], what: str) -> None:
        """Wait for something that can be seen from outside."""
        give_up_s = time.monotonic() + LATE_S
        while not done():
            assert self.program.poll() is None, "the program has ended"
            assert time.monotonic() < give_up_s, what
            time.sleep(0.2)

    # The ear

    def until_spoken(self, since: int = 0) -> float:
        """Wait for words from the loudspeaker; return how long after the double-click they came.

        Parameters
        ----------
        since
            Only of what was played after so many bytes of the recording.
        """
        self.until(lambda: self.spoken(since), "nothing is said")
        return self.took_s

    def played(self) -> int:
        """Return how many bytes are recorded."""
        return self.recording.stat().st_size

    def sounding(self, since: int) -> bool:
        """Tell whether there was any sound after so many bytes of the recording."""
        return bool(np.abs(read_raw(self.recording)[since // 2 :]).max(initial=0.0) > LOUD)

    def spoken(self, since: int) -> bool:
        """Tell whether there were words after so many bytes of the recording."""
        block = RATE // 100
        heard = np.abs(read_raw(self.recording)[since // 2 :])
        blocks = heard[: heard.size // block * block].reshape(-1, block).max(axis=1, initial=0.0)
        return bool(np.count_nonzero(blocks > LOUD) * 0.01 > SAID_S)

    # What is left behind

    @property
    def data(self) -> Path:
        """Where the program keeps what is the user's."""
        return self.folder / ".local" / "share" / "hall-caller"

    def led(self) -> bool:
        """Tell whether a lesson has begun: it stands in the record."""
        return (self.data / "record.sqlite3").exists()


@contextmanager
def walking(
    folder: Path, sound_server: SoundServer, *, command: Sequence[str] | None = None
) -> Iterator[Walk]:
    """Put the icon on a desktop, and double-click it; or start another program."""
    folder.joinpath("Desktop").mkdir(exist_ok=True)
    shared = Path(sound_server.environment["HOME"])
    folder.joinpath(".asoundrc").write_text((shared / ".asoundrc").read_text())
    reading, writing = os.pipe()
    size = f"{SIZE[0]}x{SIZE[1]}x24"
    screen = subprocess.Popen(
        [*REAL_TIME, "Xvfb", "-noreset", "-displayfd", str(writing), "-screen", "0", size, "-fbdir", folder],
        pass_fds=[writing],
        stderr=subprocess.DEVNULL,
    )
    os.close(writing)
    with os.fdopen(reading) as told:
        display = f":{told.readline().strip()}"
    environment = os.environ | sound_server.environment | {"DISPLAY": display, "SDL_VIDEODRIVER": "x11"}
    environment |= {"HOME": str(folder), "LANG": "en_GB.UTF-8", "LANGUAGE": "en_GB"}
    for name in ("XDG_DATA_HOME", "XDG_CACHE_HOME", "XDG_CONFIG_HOME", "QT_QPA_PLATFORM", "WAYLAND_DISPLAY"):
        environment.pop(name, None)
    subprocess.run(caller_command("starter"), env=environment, check=True, capture_output=True)
    recording = folder / "heard.raw"
    try:
        with sound_server.recording(recording):
            began_s = time.monotonic()
            started = command_of_icon(folder / "Desktop") if command is None else command
            program = subprocess.Popen([*_FIRST, *started], env=environment)
            try:
                yield Walk(folder, environment, program, recording, began_s)
            finally:
                program.terminate()
                program.wait(20)
    finally:
        screen.terminate()
        screen.wait(20)


def _letters(text: str) -> str:
    return "".join(letter for letter in text.lower() if letter.isalnum())


def command_of_icon(desktop: Path) -> list[str]:
    """Return what a desktop starts for the one icon on it (freedesktop.org, Desktop Entry, the Exec key)."""
    (icon,) = desktop.glob("*.desktop")
    lines = icon.read_text(encoding="utf-8").splitlines()
    (exec_line,) = [line.partition("=")[2] for line in lines if line.startswith("Exec=")]
    return [word.replace("%%", "%") for word in shlex.split(exec_line.replace("\\\\", "\\"))]

"""The private insides of libraries that the program leans on: each in one place, bounded, and still there.

A release may change them without a word, so every one stands in `INSIDES` with the module that may use it,
its library has an upper bound in pyproject.toml, and a test here carries its name.
"""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "caller"
INSIDES = (
    ("pygame-ce", "caller/live/loudspeaker/speakers.py", {"_sdl2"}),
    ("pygame-ce", "caller/live/window.py", {"_pixels_address"}),
    ("pyttsx3", "caller/sound/voice_engine.py", {"_driver", "_espeak", "_onSynth", "_speaking"}),
    ("sounddevice", "caller/live/loudspeaker/speakers.py", {"_exit_handler", "_initialize", "_terminate"}),
)
PRIVATE = re.compile(r"^_[A-Za-z]\w*$")


def defined_by_us() -> set[str]:
    """Return every private name that the program itself gives to something."""
    found: set[str] = set()
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.ClassDef):
                found.add(node.name)
            elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
                found.add(node.id)
            elif isinstance(node, ast.arg):
                found.add(node.arg)
            elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store):
                owner = node.value
                if isinstance(owner, ast.Name) and owner.id in {"self", "made", "cls"}:
                    found.add(node.attr)
    return found


def private_names_in(path: Path) -> Iterator[str]:
    """Yield the private names that a module reaches for: attributes, and parts of what it imports."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Attribute):
            yield node.attr
        elif isinstance(node, ast.Import):
            yield from (part for alias in node.names for part in alias.name.split("."))
        elif isinstance(node, ast.ImportFrom):
            yield from (node.module or "").split(".")
            yield from (alias.name for alias in node.names)


def test_private_names_of_libraries_are_used_where_they_are_listed_and_nowhere_else() -> None:
    ours = defined_by_us()
    used = {
        (path.relative_to(ROOT).as_posix(), name)
        for path in PACKAGE.rglob("*.py")
        for name in private_names_in(path)
        if PRIVATE.match(name) and name not in ours
    }
    assert used == {(module, name) for _, module, names in INSIDES for name in names}


@pytest.mark.parametrize("library", sorted({library for library, _, _ in INSIDES}))
def test_a_library_whose_insides_are_used_is_held_below_a_release_not_tried(library: str) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    (asked,) = (each for each in project["dependencies"] if re.match(rf"{library}\b", each))
    assert re.fullmatch(rf"{library}>=[\d.]+,<[\d.]+", asked)


@pytest.mark.parametrize("name", ["_initialize", "_terminate"])
def test_sounddevice_forgets_and_finds_devices_by(name: str) -> None:
    program = f"import sounddevice; sounddevice.{name}()"
    if name == "_initialize":
        program += "; sounddevice._terminate()"  # each counts
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    if "PortAudio library not found" in done.stderr:
        pytest.skip("needs PortAudio")
    assert done.returncode == 0, done.stderr


def test_sounddevice_cleans_up_at_the_end_by_exit_handler() -> None:
    # Where the sound system never answers, it would wait for ever there: the program then takes it out.
    program = (
        "import atexit, sys, sounddevice\n"
        "if 'without' in sys.argv: atexit.unregister(sounddevice._exit_handler)\n"
        "atexit.register(lambda: None)\n"
        "atexit._run_exitfuncs()\n"
        "print(sounddevice._initialized)"
    )
    left = []
    for how in ("with", "without"):
        asked = [sys.executable, "-c", program, how]
        done = subprocess.run(asked, capture_output=True, text=True, check=False)
        if "PortAudio library not found" in done.stderr:
            pytest.skip("needs PortAudio")
        left.append(done.stdout.strip())
    assert left == ["0", "1"]


def test_pygame_tells_where_a_surfaces_memory_begins_by_pixels_address() -> None:
    asked = (
        "import ctypes, pygame\n"
        "made = pygame.Surface((7, 3), 0, 32, (0xFF0000, 0xFF00, 0xFF, 0))\n"
        "made.fill((1, 2, 3))\n"
        "print(*(ctypes.c_uint8 * 3).from_address(made._pixels_address))\n"
    )
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert done.stdout.split()[-3:] == ["3", "2", "1"]  # blue, green, red


def test_pygame_sdl2_opens_a_device_that_asks_for_samples() -> None:
    program = (
        "import os, time\n"
        "from pygame._sdl2 import audio, sdl2\n"
        "sdl2.init_subsystem(sdl2.INIT_AUDIO)\n"
        "name, asked = audio.get_audio_device_names(False)[0], []\n"
        "fill = lambda device, memory: asked.append(len(memory))\n"
        "device = audio.AudioDevice(name, False, 48000, audio.AUDIO_F32, 1, 512, 0, fill)\n"
        "device.pause(0)\n"
        "give_up = time.monotonic() + 20\n"
        "while not asked and time.monotonic() < give_up: time.sleep(0.01)\n"
        "print(asked[0], issubclass(sdl2.error, Exception), flush=True)\n"
        "os._exit(0)\n"  # closing it while it asks may wait for ever
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        env={"SDL_AUDIODRIVER": "dummy", "PYGAME_HIDE_SUPPORT_PROMPT": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.split() == [str(4 * 512), "True"], done.stderr


def asked_of_pyttsx3(question: str) -> str:
    """Ask in a process of its own, with the engine that pip brings."""
    program = (
        "from caller.sound.voice_engine import _lend_bundled_library\n"
        "_lend_bundled_library()\n"
        f"import pyttsx3\nengine = pyttsx3.init('espeak')\n{question}"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    if "No module named 'espeakng_loader'" in done.stderr:
        pytest.skip("pip brings no engine here")
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_pyttsx3_keeps_its_driver_in_proxy_driver() -> None:
    asked = "driver = engine.proxy._driver\nprint(type(driver).__module__, callable(driver.stop))"
    assert asked_of_pyttsx3(asked) == "pyttsx3.drivers.espeak True"


def test_pyttsx3_writes_in_on_synth() -> None:
    asked = "import inspect\nprint(*inspect.signature(engine.proxy._driver._onSynth).parameters)"
    assert len(asked_of_pyttsx3(asked).split()) == 3  # samples, their number, events


def test_pyttsx3_says_in_speaking_whether_it_is_at_work() -> None:
    assert asked_of_pyttsx3("print(engine.proxy._driver._speaking)") == "False"


def test_pyttsx3_has_the_library_itself_in_espeak() -> None:
    asked = (
        "from pyttsx3.drivers import _espeak as e\n"
        "print(e.EVENT_LIST_TERMINATED, e.EVENT_WORD, e.EVENT_MSG_TERMINATED, callable(e.SetSynthCallback))\n"
        "print(e.Info().decode()[:2])\n"
    )
    # speak_lib.h of eSpeak NG: espeakEVENT_LIST_TERMINATED 0, _WORD 1, _MSG_TERMINATED 6.
    assert asked_of_pyttsx3(asked).split() == ["0", "1", "6", "True", "1."]
    asked = "from pyttsx3.drivers import _espeak as e\nprint(e.RANGE, callable(e.SetParameter))"
    assert asked_of_pyttsx3(asked).split() == ["4", "True"]  # espeakRANGE

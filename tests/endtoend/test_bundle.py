"""The folder that needs no Python: made here, and led where there is none.

By night only: it takes minutes. The machine without Python is a fresh Debian in a folder of its own.
"""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from tests.endtoend.conftest import Screen, SoundServer, caller_command, read_raw
from tests.endtoend.test_bare_machine import HOME, Machine, debian

pytestmark = [
    pytest.mark.endtoend,
    pytest.mark.timeout(1800),
    pytest.mark.skipif(
        importlib.util.find_spec("PyInstaller") is None, reason='needs pip install -e ".[maker,bundle]"'
    ),
]
ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def bundle(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder, made as the release makes it."""
    folder = tmp_path_factory.mktemp("bundle")
    places = ["--distpath", str(folder / "dist"), "--workpath", str(folder / "work")]
    command = [sys.executable, "-m", "PyInstaller", "--noconfirm", *places, "packaging/bundle.spec"]
    made = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert made.returncode == 0, made.stderr[-2000:]
    return folder / "dist" / "hall-caller"


@pytest.fixture(scope="module")
def no_python(bundle: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Machine]:
    """A machine on which there is the folder, and no Python."""
    root = tmp_path_factory.mktemp("bare") / "root"
    machine = debian(root)
    shutil.copytree(bundle, root / HOME / "hall-caller", symlinks=True)
    yield machine
    shutil.rmtree(root.parent, ignore_errors=True)


def test_the_licences_of_all_that_is_inside_go_along(bundle: Path) -> None:
    licences = {folder.name.lower() for folder in (bundle / "_internal" / "licences").iterdir()}
    assert {"hall-caller", "numpy", "pygame-ce", "skia-python", "av", "espeakng-loader"} <= licences


def test_without_python_it_leads_and_speaks_as_the_installed_program_does(
    no_python: Machine, caller_environment: dict[str, str], tmp_path: Path
) -> None:
    assert no_python.run("command -v python3 python || true") == ""
    assert "pygame-ce 2" in no_python.run("hall-caller/hall-caller about")
    head, *calls = no_python.run("hall-caller/hall-caller run demo --from 3").splitlines()
    assert head.startswith("No display and no sound")
    assert len(calls) > 8
    no_python.run("hall-caller/hall-caller export demo --to demo.wav")
    own = tmp_path / "demo.wav"
    subprocess.run(caller_command("export", "demo", "--to", str(own)), env=caller_environment, check=True)
    assert (no_python.root / HOME / "demo.wav").read_bytes() == own.read_bytes()


def test_a_double_click_opens_the_start_screen_and_the_lesson_maker_opens(
    bundle: Path, screen: Screen, sound_server: SoundServer, tmp_path: Path
) -> None:
    """Nothing of this machine's Python is on the way: the environment names none."""
    home = {"HOME": str(tmp_path), "PATH": str(tmp_path), "LANG": "C.UTF-8"}
    clean = sound_server.environment | screen.environment | home
    for words in (["hall-caller-window"], ["hall-caller", "make"]):
        program = subprocess.Popen([bundle / words[0], *words[1:]], env=clean, stderr=subprocess.PIPE)
        try:
            assert _window(screen), f"{words}: no window"
            time.sleep(3)
            assert program.poll() is None, program.communicate()[1]
        finally:
            program.terminate()
            program.wait(20)


def test_the_folders_own_program_leads_a_lesson_that_is_heard(
    bundle: Path, screen: Screen, sound_server: SoundServer, tmp_path: Path
) -> None:
    home = {"HOME": str(tmp_path), "PATH": str(tmp_path), "LANG": "C.UTF-8"}
    recording = tmp_path / "sink.raw"
    began_s = time.monotonic()
    with sound_server.recording(recording):
        program = subprocess.Popen(
            [bundle / "hall-caller", "run", "demo", "--window"],
            env=sound_server.environment | screen.environment | home,
        )
        try:
            assert _window(screen)
            assert time.monotonic() - began_s < 20
            time.sleep(12)
            assert program.poll() is None
        finally:
            program.terminate()
            program.wait(20)
    assert np.abs(read_raw(recording)).max(initial=0.0) > 0.05


def _window(screen: Screen) -> bool:
    give_up_s = time.monotonic() + 60
    while time.monotonic() < give_up_s:
        found = subprocess.run(
            ["xdotool", "search", "--onlyvisible", "--class", "."],
            env=os.environ | screen.environment,
            capture_output=True,
            check=False,
        ).stdout
        if found:
            return True
        time.sleep(0.2)
    return False

"""A folder handed over: somebody who was never told anything opens its START.html in Chromium, presses one
button, and the lesson plays; and the same folder is led from the program."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from caller.export.handover import START
from caller.record.store import Store
from tests.endtoend.conftest import SoundServer, caller_command
from tests.endtoend.walking import SIZE, Walk, walking

CHROMIUM = shutil.which("chromium")

pytestmark = [
    pytest.mark.endtoend,
    pytest.mark.timeout(900),
    pytest.mark.skipif(
        CHROMIUM is None or shutil.which("tesseract") is None,
        reason="needs chromium and tesseract (installed by .ci/run)",
    ),
]

CLASS = 'name = "Terns"\nage = "7-8"\nstep = "quarters"\nminutes = 10\n'
FOLDER = "Terns on Friday"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder, made as a teacher makes it."""
    home = tmp_path_factory.mktemp("teacher")
    home.joinpath("terns.toml").write_text(CLASS, encoding="utf-8")
    made = home / FOLDER
    command = caller_command("handover", str(home / "terns.toml"), "--to", str(made))
    subprocess.run(command, check=True, capture_output=True, timeout=600)
    return made


def test_one_button_in_a_browser_plays_the_lesson(
    folder: Path, tmp_path: Path, sound_server: SoundServer
) -> None:
    # The strictest rule that a browser has for pages that would make a sound by themselves.
    rule = "--autoplay-policy=document-user-activation-required"
    size = f"--window-size={SIZE[0]},{SIZE[1]}"
    quiet = ("--no-sandbox", "--no-first-run", "--disable-gpu", "--window-position=0,0", size)
    profile = f"--user-data-dir={tmp_path / 'profile'}"
    browser = [str(CHROMIUM), *quiet, rule, profile, (folder / START).as_uri()]
    with walking(tmp_path, sound_server, command=browser) as walk:
        walk.place("Three steps", small=True)
        silence = walk.played()
        walk.press_at(*walk.patch(0x00, 0x45, 0x7C))  # the one large button, seen without scrolling
        walk.until_spoken(silence)
        assert walk.presses == 1
        walk.key("space")  # as the page says: it stops
        walk.until(lambda: quiet_since(walk), "it goes on")


def quiet_since(walk: Walk) -> bool:
    before = walk.played()
    walk.until(lambda: walk.played() > before + 2 * 2 * 48_000, "nothing is recorded")
    return not walk.sounding(before)


def test_in_the_program_two_presses_lead_the_same_lesson_for_the_same_class(
    folder: Path, tmp_path: Path, sound_server: SoundServer
) -> None:
    shutil.copytree(folder, tmp_path / "Desktop" / FOLDER)
    with walking(tmp_path, sound_server) as walk:
        walk.click("substitute today")
        walk.click("Handed over: Terns")
        walk.until_spoken()
        assert walk.presses == 2
        walk.click("Go on", last=True)  # it is heard
        walk.until_gone("Sound check")
        walk.click("Go on", last=True)  # it is safe
        walk.until(walk.led, "no lesson begins")
        with Store(walk.data / "record.sqlite3") as store:
            (lesson,) = store.lessons("Terns")
        assert lesson.stand_in

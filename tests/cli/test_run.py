"""What holds while a lesson is led: no other is, and the terminal keeps to our own words."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pygame
import pytest

from caller.cli import main
from caller.cli import run as run_verb
from caller.errors import NotFoundError, ScreenError
from caller.live.room import Room
from caller.live.window import NoScreen, Window
from caller.record.files import LessonRunningError, OneLesson

Meanwhile = list[Callable[[Room], None]]


@pytest.fixture
def meanwhile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Meanwhile:
    """What is done in the place of leading the lesson; there is no display here."""
    for name in ("XDG_DATA_HOME", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "own"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "odd.toml").write_text('class = "Terns"\n[[round]]\ntime = "4:30"\n')
    done: Meanwhile = []

    class Led:
        def __init__(self, room: Room, _plan: object) -> None:
            self._room = room

        def run(self) -> None:
            for each in done:
                each(self._room)

    monkeypatch.setattr(run_verb, "Performance", Led)
    no_display(monkeypatch, "offscreen")
    return done


def no_display(monkeypatch: pytest.MonkeyPatch, driver: str) -> None:
    """Let SDL find no display, and draw for nobody by this driver of its own choice."""
    for name in ("SDL_VIDEODRIVER", "SDL_VIDEO_DRIVER"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(pygame.display, "init", lambda: None)
    monkeypatch.setattr(pygame.display, "quit", lambda: None)
    monkeypatch.setattr(pygame.display, "get_driver", lambda: driver)
    monkeypatch.setattr(Window, "_open", lambda _window: None)


@pytest.mark.parametrize("driver", ["offscreen", "dummy"])
def test_a_window_that_nobody_sees_is_refused(driver: str, monkeypatch: pytest.MonkeyPatch) -> None:
    no_display(monkeypatch, driver)
    with pytest.raises(ScreenError):
        Window()


def test_the_start_screen_without_a_display_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    no_display(monkeypatch, "offscreen")
    assert main([]) == 1
    (told,) = capsys.readouterr().err.splitlines()
    assert "display" in told


def test_a_lesson_without_a_display_is_led_as_one_that_nobody_sees(meanwhile: Meanwhile) -> None:
    screens: list[object] = []
    meanwhile.append(lambda room: screens.append(room.screen))
    assert main(["run", "odd.toml", "--mute"]) == 0
    assert isinstance(screens[0], NoScreen)


def test_while_a_lesson_is_led_no_other_is_and_nothing_is_forgotten(meanwhile: Meanwhile) -> None:
    codes: list[int] = []

    def try_others(_room: Room) -> None:
        with pytest.raises(LessonRunningError):
            OneLesson()
        meanwhile.clear()
        codes.extend((main(["record", "forget", "--all"]), main(["run", "odd.toml", "--mute"])))

    meanwhile.append(try_others)
    assert main(["run", "odd.toml", "--mute"]) == 0
    assert codes == [2, 2]


@pytest.mark.skipif(os.name != "posix", reason="has one number for a console")
def test_what_a_sound_system_grumbles_while_a_lesson_is_led_is_not_on_the_terminal(
    meanwhile: Meanwhile, capfd: pytest.CaptureFixture[str]
) -> None:
    def grumble(_room: Room) -> None:
        os.write(2, b"Expression 'alsa_snd_pcm_start' failed")

    meanwhile.append(grumble)
    assert main(["run", "odd.toml", "--mute"]) == 0
    assert "Expression" not in capfd.readouterr().err


@pytest.mark.parametrize("loudspeakers", ["one", "two"])
def test_the_loudspeaker_is_opened_for_what_the_hall_has(
    meanwhile: Meanwhile, tmp_path: Path, loudspeakers: str
) -> None:
    (tmp_path / "sports.toml").write_text(f'like = "gym"\nloudspeakers = "{loudspeakers}"\n')
    (tmp_path / "monday.toml").write_text('hall = "sports.toml"\n[[round]]\ntime = "4:30"\n')
    wide: list[bool] = []
    meanwhile.append(lambda room: wide.append(room.player.wide))
    assert main(["run", "monday.toml", "--mute", "--try-out"]) == 0
    assert main(["run", "odd.toml", "--mute", "--try-out"]) == 0
    assert wide == [loudspeakers == "two", False]


def test_a_second_output_is_remembered_until_it_is_turned_off(
    meanwhile: Meanwhile,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def called(name: str) -> int:
        if name != "loop":
            raise NotFoundError("There is no such output.")
        return 1

    monkeypatch.setattr(run_verb, "output_called", called)
    names: list[str] = []
    meanwhile.append(lambda room: names.append(room._lateness.voice_to))
    begin = ["run", "odd.toml", "--mute"]
    for more in (
        ["--try-out", "--voice-to", "loop"],
        [],
        ["--voice-to", "loop"],
        [],
        ["--voice-to", "off"],
        [],
    ):
        assert main([*begin, *more]) == 0
    assert names == ["loop", "", "loop", "loop", "", ""]
    capsys.readouterr()
    assert main([*begin, "--voice-to", "nowhere"]) == 2
    assert "There is no such output." in capsys.readouterr().err
    assert len(names) == 6

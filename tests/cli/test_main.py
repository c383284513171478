from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from caller import __version__, cli
from caller.cli import VERBS, main, run
from caller.errors import UserError
from caller.file_writing import fill, making_folder, replacing
from caller.live.loudspeaker import Speaker
from caller.live.loudspeaker.player import Player
from caller.live.loudspeaker.speakers import SilentSpeaker
from caller.sound.voice import VoiceBox


def test_every_verb_explains_itself(capsys: pytest.CaptureFixture[str]) -> None:
    for verb in VERBS:
        with pytest.raises(SystemExit) as ended:
            main([verb, "--help"])
        assert ended.value.code == 0
        assert capsys.readouterr().out.startswith(f"usage: hall-caller {verb}")


def test_the_version_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--version"])
    assert capsys.readouterr().out == f"hall-caller {__version__}\n"


def test_a_lesson_that_is_not_there_is_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["show", "dem"]) == 2
    told = capsys.readouterr().err
    assert told == 'hall-caller: There is no lesson "dem". Did you mean the ready lesson "demo"?\n'


@pytest.mark.skipif(sys.platform == "win32", reason="a closed pipe is told in another way there")
def test_a_reader_who_has_seen_enough_is_no_error() -> None:
    """`hall-caller moves | head`: the pipe closes while there is more to print."""
    command = f"{sys.executable} -m caller moves | head -n 1"
    done = subprocess.run(
        ["bash", "-o", "pipefail", "-c", command], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_the_loudspeaker_and_the_voice_are_asked_for_before_a_lesson_is_decided(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """They take as long as deciding does, and wait for other programs meanwhile."""
    voices: list[str] = []
    opened = threading.Event()

    class Expecting(VoiceBox):
        def expect(self, language: str) -> None:
            voices.append(language)

    def opener(player: Player, *, mute: bool) -> Speaker:
        assert mute
        opened.set()
        return SilentSpeaker(player)

    def decide(*_: object) -> None:
        assert opened.wait(5)
        assert voices == ["en-GB"]
        raise UserError("It was decided.")

    monkeypatch.setattr(run, "VoiceBox", Expecting)
    monkeypatch.setattr("caller.live.loudspeaker.output.open_speaker", opener)
    monkeypatch.setattr(run, "stage_of", decide)
    assert main(["run", "demo", "--mute"]) == 2
    assert capsys.readouterr().err.endswith("It was decided.\n")


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such signals")
@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP"])
def test_a_closed_terminal_or_a_shutdown_leaves_nothing_half_done(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    number = signal.Signals[name]

    def half(_: object) -> int:
        with making_folder(tmp_path / "for the stick") as folder, replacing(tmp_path / "lesson.mp4") as file:
            fill(folder / "START.html", "half")
            fill(file, "half")
            assert len(list(tmp_path.iterdir())) == 2
            os.kill(os.getpid(), number)
            time.sleep(10)
        return 0

    verb = SimpleNamespace(add_arguments=lambda parser: None, run=half)
    monkeypatch.setattr(cli, "_loaded", lambda _name: verb)
    usual = {each: signal.getsignal(each) for each in (signal.SIGTERM, signal.SIGHUP)}
    signal.signal(number, lambda *_: None)  # so that what is left alone ends no test run
    try:
        with pytest.raises(SystemExit) as ended:
            main(["moves"])
    finally:
        for each, how in usual.items():
            signal.signal(each, how)
    assert ended.value.code == 128 + number
    assert list(tmp_path.iterdir()) == []


def test_what_a_lesson_can_start_without_is_not_loaded_with_it() -> None:
    """Each takes longer to load than a picture takes to draw, and is for slips, keys or verbs of its own."""
    spared = (
        "tomlkit",
        "sounddevice",
        "scipy",
        "PySide6",
        "onnxruntime",
        "statistics",
        "decimal",
    )
    program = f"import caller.cli.run, sys; print([name for name in {spared} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize("verb", ["plan", "new", "lessons", "check"])
def test_a_verb_that_draws_nothing_does_not_load_what_draws(verb: str) -> None:
    """It is a quarter of a second at every start."""
    program = f"import caller.cli.{verb}, sys; print(sorted({{'skia', 'pygame'}} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"

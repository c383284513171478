"""A voice of one's own from the command line: lines written, WAV files taken in, calls in one voice."""

from __future__ import annotations

import io
import json
import sys
import threading
import wave
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from caller.cli import main
from caller.cli import voice as voice_verb
from caller.hall.sweep_run import NO_ANSWER
from caller.lesson.library import read_lesson
from caller.planning.lengths import SpokenLengths
from caller.planning.staging import stage_of
from caller.sound.own_voice import OWN, OwnVoice
from caller.sound.speech import Speech
from caller.sound.tones import load_tones
from caller.timeline.segment import Timeline, said_in
from tests.sound.test_own_voice import spoken
from tests.timeline.test_segment import EvenVoice

LESSON = """
title = "Two clocks"
step = "quarters"
seed = 3
catch_up = { kind = "none" }
calm_last_round = false
[opening]
safety = false
warm_up_seconds = 0
[worked_example]
skip = true
[practice]
skip = true
[close]
breaths = 0
[[round]]
time = "9:30"
wrong = "10:30"
"""


@pytest.fixture
def script(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "two-clocks.toml"
    path.write_text(LESSON, encoding="utf-8")
    return path


def lines_of(folder: Path) -> list[tuple[str, str]]:
    rows = [row.split("\t") for row in (folder / "lines.txt").read_text(encoding="utf-8").splitlines()[1:]]
    return [(name, text) for name, _, text in rows]


def write_wav(path: Path, text: str) -> None:
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, 44_100, 0, "NONE", ""))
        file.writeframes((spoken(text) * 32_767).astype("<i2").tobytes())


def test_calls_are_in_one_voice_each_and_the_missing_lines_are_named(
    script: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "wav"
    folder.mkdir()
    assert main(["voice", str(script), "--to", str(folder / "lines.txt")]) == 0
    lines = lines_of(folder)
    missing = [lines[5], lines[12]]
    for name, text in lines:
        if (name, text) not in missing:
            write_wav(folder / name, text)
    assert main(["voice", "take", str(folder)]) == 0
    told = capsys.readouterr()
    assert "for an adult to decide" in told.err
    assert [f"  {name}  {text}" in told.out for name, text in missing] == [True, True]

    assert main(["voice", str(script), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert [each["text"] for each in report["missing"]] == [text for _, text in missing]
    assert report["recorded"] == len(lines) - 2
    assert main(["voice", str(script)]) == 0
    assert [f"  {text}" in capsys.readouterr().out.splitlines() for _, text in missing[:1]] == [True]

    run_sheet = stage_of("", script.parent).run_sheet(read_lesson(script))
    timeline = Timeline(run_sheet, voice=EvenVoice(), tones=load_tones(), own=OwnVoice())
    gone = {text for _, text in missing}
    for call in run_sheet.calls:
        said = said_in(call)
        segment = timeline.segment(call)
        voices = {each.clip.voice for each in segment.placed if isinstance(each.clip, Speech)}
        assert len(voices) <= 1
        by_own = bool(said) and not gone & {text for text, _ in said}
        assert segment.own_voice == by_own == (call.number in report["calls_in_own_voice"])
        assert voices == ({OWN} if by_own else {""} if said else set())
    lengths = SpokenLengths(EvenVoice(), load_tones(), own=OwnVoice())
    assert [each.length for each in lengths.layouts(run_sheet)] == [
        timeline.length(call) for call in run_sheet.calls
    ]


def test_a_file_that_is_no_such_sentence_is_refused_and_the_others_are_taken(
    script: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "lines.txt").write_text("# so\na.wav\ten\tGo!\nb.wav\ten\tStand still, all of you.\n")
    write_wav(tmp_path / "a.wav", "Go on, and on, and on, and on, and on. " * 4)
    write_wav(tmp_path / "b.wav", "Stand still, all of you.")
    assert main(["voice", "take", str(tmp_path)]) == 2
    told = capsys.readouterr()
    assert "a.wav lasts" in told.err
    assert told.out == "Taken in: 1.\n"
    assert len(OwnVoice()) == 1
    assert main(["voice", "forget"]) == 0
    assert capsys.readouterr().out == "1 recording taken away.\n"


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (None, "There is no lines.txt."),
        ("a.wav Go!\n", "lines.txt, line 1: write a file's name, a tab, a language, a tab and the sentence."),
        ("../a.wav\ten\tGo!\n", "lines.txt, line 1: write a file's name"),
    ],
)
def test_lines_that_cannot_be_used_are_told(
    lines: str | None, told: str, script: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if lines is not None:
        Path("lines.txt").write_text(lines)
    assert main(["voice", "take", "."]) == 2
    assert told in capsys.readouterr().err


class Studio:
    """A sound library whose microphone hears one sentence after another."""

    PortAudioError = OSError

    def __init__(self, takes: list[str]) -> None:
        self.takes = takes
        self.played = 0

    def play(self, *_: object, **__: object) -> None:
        self.played += 1

    def InputStream(self, *, samplerate: int, callback: Any, **_: object) -> Any:  # noqa: N802 - the library's
        sound = spoken(self.takes.pop(0), rate=samplerate)[:, np.newaxis]
        for start in range(0, len(sound), 4_096):
            callback(sound[start : start + 4_096], 0, None, None)
        return SimpleNamespace(start=bool, stop=bool, close=bool)


def test_recording_leads_through_the_lines_and_keeps_what_is_agreed_to(
    script: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    run_sheet = stage_of("", script.parent).run_sheet(read_lesson(script))
    first, second, third = list(dict.fromkeys(said for call in run_sheet.calls for said in said_in(call)))[:3]
    studio = Studio([first[0], second[0], second[0], "A wholly different one, and a much longer one." * 3])
    monkeypatch.setattr(voice_verb, "sound_library", lambda *_doing, **_failed: FakeOpen(studio))
    monkeypatch.setattr(voice_verb, "VoiceBox", lambda: FakeOpen(EvenVoice()))
    kept, again, ended = "\n\n\n", "\n\nr\n", "\n\nq\n"
    monkeypatch.setattr(sys, "stdin", io.StringIO(kept + again + kept + ended))
    assert main(["voice", "record", str(script)]) == 0
    told = capsys.readouterr().out
    assert "for an adult to decide" in told
    assert "is it another sentence?" in told
    assert "Kept: 2." in told
    own = OwnVoice()
    assert [own.has(said) for said in (first, second, third)] == [True, True, False]
    assert studio.played == 3 + 3  # each sentence once by the program, each usable recording once


def test_a_sound_system_that_hangs_as_it_plays_or_records_ends_the_recording_in_one_sentence(
    script: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(voice_verb, "VoiceBox", lambda: FakeOpen(EvenVoice()))
    monkeypatch.setattr(voice_verb, "_PLAYS_LATE_S", -10.0)
    monkeypatch.setattr("caller.hall.sweep_run._ANSWERS_S", 0.2)
    over = threading.Event()
    for hung in ("play", "InputStream"):
        studio = Studio(["Go!"])
        setattr(studio, hung, lambda *_, **__: over.wait())
        monkeypatch.setattr(voice_verb, "sound_library", lambda *_, studio=studio, **__: FakeOpen(studio))
        monkeypatch.setattr(sys, "stdin", io.StringIO("\n\n\nq\n"))
        if hung == "InputStream":
            monkeypatch.setattr(voice_verb, "_PLAYS_LATE_S", 10.0)
        assert main(["voice", "record", str(script)]) == 1
        told = capsys.readouterr().err.splitlines()
        assert [line for line in told if "hall-caller: " in line] == [f"hall-caller: {NO_ANSWER}"]
    over.set()


class FakeOpen(SimpleNamespace):
    def __init__(self, opened: object) -> None:
        super().__init__(opened=opened)

    def __enter__(self) -> object:
        return self.opened

    def __exit__(self, *_: object) -> None:
        pass

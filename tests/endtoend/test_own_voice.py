"""A lesson led in a voice of one's own, recorded here from another voice of the engine, two lines missing."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import numpy as np
import pytest
from scipy.io import wavfile

from caller.lesson.library import read_lesson
from caller.planning.staging import stage_of
from caller.sound.own_voice import OWN, OwnVoice
from caller.sound.speech import Speech, VoiceSettings
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.segment import Timeline, said_in
from tests.cli.test_voice import LESSON, lines_of
from tests.endtoend.conftest import RATE, REAL_TIME, Screen, SoundServer, caller_command, onsets_of, read_raw

pytestmark = [pytest.mark.endtoend, pytest.mark.timeout(600)]

MISSING = (4, 11)  # of the file of lines, from nought
ROUND = '[[round]]\ntime = "2:15"\nwrong = "3:10"\n'
PACE = '[voice]\nrate_wpm = 200\n[[round]]\ntime = "9:30"'


def test_a_lesson_is_heard_in_an_own_voice_but_for_the_calls_that_lack_a_line(
    sound_server: SoundServer, screen: Screen, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("XDG_DATA_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name))
    script, folder = tmp_path / "two-clocks.toml", tmp_path / "wav"
    script.write_text(LESSON.replace('[[round]]\ntime = "9:30"', PACE) + ROUND, encoding="utf-8")
    folder.mkdir()

    def typed(*words: str) -> str:
        done = subprocess.run(caller_command(*words), capture_output=True, text=True, check=True)
        return done.stdout

    typed("voice", str(script), "--to", str(folder / "lines.txt"))
    lines = lines_of(folder)
    assert len(lines) >= 20
    another = VoiceSettings(language="en-US", rate_wpm=160)
    missing = [text for number, (_, text) in enumerate(lines) if number in MISSING]
    with VoiceBox(engines=("bundled",)) as voice:
        for number, (name, text) in enumerate(lines):
            if number not in MISSING:
                said = np.pad(voice.clip(text, another).samples, RATE // 2)
                hiss = 1e-4 * np.random.default_rng(number).standard_normal(said.size)
                wavfile.write(folder / name, RATE, (0.5 * said + hiss).astype(np.float32))
    assert typed("voice", "take", str(folder)).startswith(f"Taken in: {len(lines) - 2}.\n")

    environment = os.environ | sound_server.environment | screen.environment
    with sound_server.recording(tmp_path / "hall.raw"):
        subprocess.run(
            [*REAL_TIME, *caller_command("run", str(script), "--window")],
            env=environment,
            check=True,
            timeout=300,
        )
    report = typed("voice", str(script)).splitlines()
    at = report.index("Missing:")
    assert report[at + 1 : at + 3] == [f"  {text}" for text in missing]

    run_sheet = stage_of("", script.parent).run_sheet(read_lesson(script))
    with VoiceBox() as voice:
        timeline = Timeline(run_sheet, voice=voice, tones=load_tones(), own=OwnVoice())
        segments = [timeline.segment(call) for call in run_sheet.calls]
    for call, segment in zip(run_sheet.calls, segments, strict=True):
        texts = {text for text, _ in said_in(call)}
        voices = {each.clip.voice for each in segment.placed if isinstance(each.clip, Speech)}
        if texts:
            (heard,) = voices  # one and no other
            assert (heard == OWN) == (not texts & set(missing)), texts
    assert sum(segment.own_voice for segment in segments) >= 10
    # What the hall heard is that, sample for sample.
    recording = read_raw(tmp_path / "hall.raw")
    written = np.concatenate([segment.render(0, segment.length) for segment in segments])
    beep = load_tones()["beep"].samples
    offset = int(onsets_of(beep, recording)[0] - onsets_of(beep, written)[0])
    heard_there = recording[offset : offset + len(written)]
    assert np.corrcoef(heard_there, written)[0, 1] > 0.999

"""What two loudspeakers play, each on its own: a lesson of one clock into a null sink with left and right."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import correlate

from caller.lesson.library import read_lesson
from caller.planning.staging import stage_of
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.segment import Timeline
from tests.endtoend.conftest import RATE, REAL_TIME, Screen, SoundServer, caller_command

pytestmark = [pytest.mark.endtoend, pytest.mark.timeout(600)]

LESSON = """
title = "One clock"
class = "Terns"
hall = "lantern-bay.toml"
step = "quarters"
language = "en-GB"
seed = 3
think_seconds = 5
catch_up = { kind = "none" }
[opening]
safety = false
warm_up_seconds = 0
[worked_example]
skip = true
[practice]
skip = true
[[round]]
time = "9:30"
wrong = "10:30"
"""


def test_each_side_is_heard_from_its_side_and_all_else_from_the_middle(
    sound_server: SoundServer, screen: Screen, tmp_path: Path
) -> None:
    script = tmp_path / "one-clock.toml"
    script.write_text(LESSON, encoding="utf-8")
    (tmp_path / "lantern-bay.toml").write_text('like = "old-gym"\nloudspeakers = "two"\n', encoding="utf-8")
    own = {"XDG_CACHE_HOME": str(tmp_path / "cache"), "XDG_DATA_HOME": str(tmp_path / "data")}
    environment = dict(os.environ) | sound_server.environment | screen.environment | own
    subprocess.run(caller_command("show", str(script)), env=environment, check=True, capture_output=True)
    with sound_server.recording(tmp_path / "hall.raw", channels=2):
        command = [*REAL_TIME, *caller_command("run", str(script), "--window", "--try-out")]
        subprocess.run(command, env=environment, check=True, timeout=300)
    heard = np.fromfile(tmp_path / "hall.raw", dtype="<i2").astype(float).reshape(-1, 2) / 32_768

    lesson = read_lesson(script)
    run_sheet = stage_of(lesson.hall, tmp_path, lesson.class_name).run_sheet(lesson)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", own["XDG_CACHE_HOME"])
        with VoiceBox() as voice:
            timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
            sums = [timeline.segment(call) for call in run_sheet.calls]
            whole = np.concatenate([segment.render(0, segment.length) for segment in sums])
    match = correlate(heard.sum(axis=1), whole, "valid", "fft")
    begins = int(match.argmax())
    found: dict[str | None, list[float]] = {}
    at = begins
    for segment in sums:
        for span in segment.layout.spans:
            said = heard[at + span.speech_start : at + span.speech_end]
            if span.line.speech and span.line.count is None:
                left_db, right_db = 20 * np.log10(said.std(axis=0))
                found.setdefault(span.line.point_to, []).append(left_db - right_db)
        at += segment.length
    assert set(found) == {None, "left", "right"}
    # A far loudspeaker plays the square root of 2, less 1: so that the sum of both stays what it was.
    far_db = -20 * np.log10(np.sqrt(2) - 1)
    np.testing.assert_allclose(found["left"], far_db, atol=0.2)
    np.testing.assert_allclose(found["right"], -far_db, atol=0.2)
    np.testing.assert_allclose(found[None], 0.0, atol=0.05)
    # Together they are the lesson for one loudspeaker: what is left over is a hundredth, at the last bits.
    part = slice(begins, begins + min(whole.size, 20 * RATE))
    summed = heard[part].sum(axis=1)
    same = whole[: summed.size]
    gain = float(summed @ same / (same @ same))
    assert np.std(summed - gain * same) < 0.01 * np.std(summed)

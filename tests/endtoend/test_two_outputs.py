"""A lesson of one clock into left and right of a null sink, and into a second output for the voice alone."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator, Mapping
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import correlate

from caller.lesson.library import read_lesson
from caller.planning.staging import stage_of
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.segment import Segment, Timeline
from tests.endtoend.conftest import RATE, REAL_TIME, Screen, SoundServer, caller_command

pytestmark = [pytest.mark.endtoend, pytest.mark.timeout(600)]

FRONT, REAR = "front-left,front-right", "rear-left,rear-right"

SETTLED_S = 15.0
"""What a sound server says of its delay is out by up to 71 ms in the first ten seconds here."""

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


def prepared(
    folder: Path, server: SoundServer, screen: Screen, *, loudspeakers: str = "one"
) -> tuple[Path, dict[str, str]]:
    """Return a lesson whose words are spoken already, and the environment to lead it in."""
    script = folder / "one-clock.toml"
    script.write_text(LESSON, encoding="utf-8")
    hall = f'like = "old-gym"\nloudspeakers = "{loudspeakers}"\n'
    (folder / "lantern-bay.toml").write_text(hall, encoding="utf-8")
    own = {"XDG_CACHE_HOME": str(folder / "cache"), "XDG_DATA_HOME": str(folder / "data")}
    environment = dict(os.environ) | server.environment | screen.environment | own
    subprocess.run(caller_command("show", str(script)), env=environment, check=True, capture_output=True)
    return script, environment


def segments_of(script: Path, environment: Mapping[str, str]) -> list[Segment]:
    lesson = read_lesson(script)
    run_sheet = stage_of(lesson.hall, script.parent, lesson.class_name).run_sheet(lesson)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", environment["XDG_CACHE_HOME"])
        with VoiceBox() as voice:
            timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
            return [timeline.segment(call) for call in run_sheet.calls]


def test_each_side_is_heard_from_its_side_and_all_else_from_the_middle(
    sound_server: SoundServer, screen: Screen, tmp_path: Path
) -> None:
    script, environment = prepared(tmp_path, sound_server, screen, loudspeakers="two")
    with sound_server.recording(tmp_path / "hall.raw", channels=FRONT):
        command = [*REAL_TIME, *caller_command("run", str(script), "--window", "--try-out")]
        subprocess.run(command, env=environment, check=True, timeout=300)
    heard = np.fromfile(tmp_path / "hall.raw", dtype="<i2").astype(float).reshape(-1, 2) / 32_768

    sums = segments_of(script, environment)
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


@pytest.fixture
def two_outputs(tmp_path: Path) -> Iterator[SoundServer]:
    """Two sinks that are heard on one clock: front and rear of a third, whose monitor is recorded."""
    server = SoundServer(tmp_path / "sound")
    server.start(in_step=False)
    server.control(
        "load-module", "module-null-sink", "sink_name=both", f"rate={RATE}", "channels=4",
        f"channel_map={FRONT},{REAR}",
    )  # fmt: skip
    for name, place in {"front": FRONT, "rear": REAR}.items():
        server.control(
            "load-module", "module-remap-sink", f"sink_name={name}", "master=both", "channels=2", "remix=no",
            f"channel_map={FRONT}", f"master_channel_map={place}",
        )  # fmt: skip
        server.keep_awake(name)
    server.control("set-default-sink", "front")
    with (server.folder / "home" / ".asoundrc").open("a") as file:
        file.write("pcm.loop { type pulse device rear }\n")
    yield server
    server.stop()


def test_the_voice_alone_goes_to_a_second_output_in_time(
    two_outputs: SoundServer, screen: Screen, tmp_path: Path
) -> None:
    script, environment = prepared(tmp_path, two_outputs, screen)
    with two_outputs.recording(tmp_path / "both.raw", device="both", channels=f"{FRONT},{REAR}"):
        command = caller_command("run", str(script), "--window", "--voice-to", "LOOP")
        done = subprocess.run(
            [*REAL_TIME, *command], env=environment, check=True, timeout=300, capture_output=True, text=True
        )
    assert done.stderr == ""
    kept = tmp_path / "data" / "hall-caller" / "loudspeakers.toml"
    assert 'voice_to = "LOOP"' in kept.read_text(encoding="utf-8")
    recorded = np.fromfile(tmp_path / "both.raw", dtype="<i2").astype(float).reshape(-1, 4) / 32_768
    hall, loop = recorded[:, 0], recorded[:, 2]
    sums = segments_of(script, environment)
    whole = np.concatenate([segment.render(0, segment.length) for segment in sums])
    begins = at = int(correlate(hall, whole, "valid", "fft").argmax())
    late_ms, spoken, sounded = [], 0, 0
    most = RATE // 10
    for segment in sums:
        for event, item in zip(segment.layout.events, segment.unaccompanied, strict=True):
            there, here = (sound[at + item.start : at + item.stop] for sound in (hall, loop))
            if event.kind == "speech":
                match = correlate(loop[at + item.start - most : at + item.stop + most], there, "valid", "fft")
                if at + item.start > begins + SETTLED_S * RATE:
                    late_ms.append(1000 * (int(match.argmax()) - most) / RATE)
                spoken += 1
            elif not event.under_speech:
                # 20 ms before and after: of words that come so much earlier or later.
                quiet = here[RATE // 50 : -RATE // 50]
                assert np.std(there) > 0.01
                assert np.std(quiet) < 0.001 * np.std(there), event
                sounded += 1
        at += segment.length
    assert spoken > len(late_ms) > 8
    assert sounded > 5
    assert np.abs(late_ms).max() <= 20, late_ms  # ms; own choice: half of what is noticed

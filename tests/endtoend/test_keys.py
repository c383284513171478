"""Keys pressed in the real window, and what that does to the sound."""

from __future__ import annotations

import json
import os
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from caller.lesson.library import find_lesson
from caller.lesson.reading import read_lesson
from caller.live.window import NO_DISPLAY
from caller.planning.staging import stage_of
from caller.sound.tones import load_tones
from caller.timeline.spoken import tones_of
from tests.endtoend.conftest import RATE, Screen, SoundServer, caller_command, onsets_of, read_raw

pytestmark = pytest.mark.endtoend

Event = dict[str, Any]


def events_of(log: Path) -> list[Event]:
    lines = log.read_text(encoding="utf-8").splitlines() if log.exists() else []
    return [json.loads(line) for line in lines]


def wait_for(log: Path, wanted: Callable[[Event], bool], *, within_s: float = 60) -> Event:
    deadline = time.monotonic() + within_s
    while True:
        for event in events_of(log):
            if wanted(event):
                return event
        assert time.monotonic() < deadline, f"not in the log: {events_of(log)}"
        time.sleep(0.05)


def is_call(number: int) -> Callable[[Event], bool]:
    return lambda event: event["event"] == "call" and event["number"] == number


def test_a_pause_is_heard_within_50_ms_and_the_lesson_stops_only_when_asked_twice(
    sound_server: SoundServer, screen: Screen, caller_environment: dict[str, str], tmp_path: Path
) -> None:
    """From the key to silence at the sink, by the program's own mapping of time to samples."""
    log = tmp_path / "log"
    subprocess.run(caller_command("show", "demo"), env=caller_environment, check=True, capture_output=True)
    with sound_server.recording(tmp_path / "hall.raw"):
        program = subprocess.Popen(
            caller_command("run", "demo", "--window", "--log", str(log)), env=caller_environment
        )
        wait_for(log, is_call(3))  # the safety points: talk enough to be paused in
        time.sleep(4.0)
        screen.press("space")
        time.sleep(2.0)
        screen.press("Escape")
        time.sleep(0.5)
        assert program.poll() is None
        screen.press("Escape")
        assert program.wait(timeout=20) == 0
    recording = read_raw(tmp_path / "hall.raw")
    call = wait_for(log, is_call(3))
    key = next(event for event in events_of(log) if event.get("action") == "PAUSE")
    # The safety call begins with the attention tone: that ties the stream to the recording.
    lesson = read_lesson(find_lesson("demo"))
    tones = tones_of(stage_of(lesson.hall, tmp_path).run_sheet(lesson), load_tones())
    tone_at = onsets_of(tones["attention"].samples, recording)[-1]
    heard_s = call["heard_s"] - call["stream_s"] + key["steady"] - call["steady"]
    key_at = tone_at + round(heard_s * RATE)
    sounding = np.flatnonzero(np.abs(recording) > 1e-3)
    silent_from = int(sounding[-1])
    assert (silent_from - key_at) / RATE * 1000 <= 50
    assert silent_from - key_at > -RATE  # it was speaking until then: not an earlier gap between sentences


def test_the_demo_runs_from_start_to_end_by_keys_alone(
    screen: Screen, caller_environment: dict[str, str], tmp_path: Path
) -> None:
    log = tmp_path / "log"
    program = subprocess.Popen(
        caller_command("run", "demo", "--window", "--mute", "--log", str(log)), env=caller_environment
    )
    wait_for(log, is_call(1))
    shown = subprocess.run(
        caller_command("show", "demo", "--json"), env=caller_environment, check=True, capture_output=True
    )
    calls = json.loads(shown.stdout)["calls"]
    for call in calls:
        wait_for(log, is_call(call["number"]))
        screen.press("Next")  # page down: a presenter's large button
    assert program.wait(timeout=20) == 0
    numbers = [event["number"] for event in events_of(log) if event["event"] == "call"]
    assert numbers == [call["number"] for call in calls]
    assert events_of(log)[-1]["event"] == "finished"


def test_missing_sound_is_one_sentence(
    screen: Screen, caller_environment: dict[str, str], tmp_path: Path
) -> None:
    environment = caller_environment | {
        "PULSE_SERVER": f"unix:{tmp_path}/none",
        "SDL_AUDIODRIVER": "pulseaudio",
    }
    done = subprocess.run(
        caller_command("run", "demo", "--window"),
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 1
    said = [line for line in done.stderr.splitlines() if line.startswith("hall-caller:")]
    assert len(said) == 1
    assert "add --mute" in said[0]
    assert "Traceback" not in done.stderr


def test_a_missing_display_is_one_sentence(caller_environment: dict[str, str]) -> None:
    environment = {
        name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")
    }
    environment |= {"SDL_VIDEODRIVER": "x11", "HOME": caller_environment["HOME"]}
    done = subprocess.run(
        caller_command("run", "demo", "--mute"),
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 1
    said = [line for line in done.stderr.splitlines() if line.startswith("hall-caller:")]
    assert said == [f"hall-caller: {NO_DISPLAY}"]
    assert "Traceback" not in done.stderr

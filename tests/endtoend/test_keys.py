"""Keys pressed in the real window, and what that does to the sound."""

from __future__ import annotations

import json
import signal
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from caller.lesson.library import find_lesson, read_lesson
from caller.live.words import said
from caller.planning.staging import stage_of
from caller.sound.tones import load_tones
from caller.timeline.segment import tones_of
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
            caller_command("run", "demo", "--window", "--replace", "--log", str(log)), env=caller_environment
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
        caller_command("run", "demo", "--window", "--mute", "--replace", "--log", str(log)),
        env=caller_environment,
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


def led_for(seconds: float, environment: dict[str, str], data: Path, *words: str) -> tuple[str, str]:
    """Lead the demo for some time, stop it with Ctrl-C, and return what it printed on both streams."""
    program = subprocess.Popen(
        caller_command("run", "demo", *words),
        env=environment | {"XDG_DATA_HOME": str(data)},  # no lesson stands there that was cut off
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    with pytest.raises(subprocess.TimeoutExpired):
        program.wait(timeout=seconds)
    program.send_signal(signal.SIGINT)
    told = program.communicate(timeout=20)
    assert program.returncode == 130
    return told


def without_display(environment: dict[str, str]) -> dict[str, str]:
    hidden = ("DISPLAY", "WAYLAND_DISPLAY", "SDL_VIDEODRIVER")
    return {name: value for name, value in environment.items() if name not in hidden}


def without_sound(environment: dict[str, str], tmp_path: Path) -> dict[str, str]:
    return environment | {"PULSE_SERVER": f"unix:{tmp_path}/none", "SDL_AUDIODRIVER": "pulseaudio"}


def test_without_a_loudspeaker_the_lesson_begins_and_one_that_comes_is_taken(
    screen: Screen, caller_environment: dict[str, str], tmp_path: Path
) -> None:
    log = tmp_path / "log"
    printed, told = led_for(
        8,
        without_sound(caller_environment, tmp_path),
        tmp_path,
        "--window",
        "--size",
        "640x360",
        "--replace",
        "--log",
        str(log),
    )
    assert (printed, told) == ("", "")
    assert [event["event"] for event in events_of(log)].count("no speaker") == 1
    wait_for(log, is_call(1))


def test_without_a_display_the_voice_leads_and_each_call_is_printed(
    caller_environment: dict[str, str], tmp_path: Path
) -> None:
    printed, told = led_for(9, without_display(caller_environment), tmp_path)
    assert told == ""
    first, *calls = printed.splitlines()
    assert first == said("lesson.unseen")
    assert calls[0].split()[:3] == ["0:00", "welcome", "Hello,"]


def test_without_display_and_sound_one_sentence_says_so_and_the_calls_come_in_time(
    caller_environment: dict[str, str], tmp_path: Path
) -> None:
    environment = without_sound(without_display(caller_environment), tmp_path)
    printed, told = led_for(18, environment, tmp_path)
    assert told == ""
    first, *calls = printed.splitlines()
    assert first == said("lesson.unseen-unheard")
    starts = [line.split()[0] for line in calls if line[:5].strip()]
    assert starts[0] == "0:00"
    assert len(starts) >= 2


def test_a_loudspeaker_that_nobody_records_is_never_called_lost(
    screen: Screen, caller_environment: dict[str, str], tmp_path: Path
) -> None:
    """A null sink alone takes up to 1.63 s from a start to its next callback; each pause is a start."""
    server = SoundServer(tmp_path / "sound")
    server.start(in_step=False)
    log = tmp_path / "log"
    words = ("run", "demo", "--window", "--size", "640x360", "--replace", "--log", str(log))
    program = subprocess.Popen(caller_command(*words), env=caller_environment | server.environment)
    try:
        wait_for(log, is_call(1))
        time.sleep(3.0)
        for key in ("space", "space", "Next", "Next", "Prior", "space", "space", "r"):
            screen.press(key)
            time.sleep(1.5)
        time.sleep(3.0)
        screen.press("Escape", "Escape")
        assert program.wait(timeout=20) == 0
    finally:
        program.kill()
        server.stop()
    assert not [event for event in events_of(log) if event["event"].startswith(("sound", "no speaker"))]

"""A class counted by its claps in the real program: claps and a shout in a null sink that is its
microphone."""

from __future__ import annotations

import fcntl
import json
import shutil
import subprocess
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from os import environ
from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.hall.claps import CLAP_S, CLAPS
from caller.lesson.library import read_lesson
from caller.planning.lengths import SpokenLengths
from caller.planning.staging import stage_of
from caller.record.store import Store
from caller.runsheet import RunSheet
from caller.runsheet.counting import windows
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline import CallLayout, seconds_of
from tests.endtoend.conftest import RATE, REAL_TIME, SoundServer
from tests.endtoend.test_quiet_gate import Running, the_hearer_wrote_no_file, traced_to

pytestmark = pytest.mark.endtoend

CHILDREN: Final = 25
RIGHT: Final = {1: 23, 2: 12, 3: 12, 4: 3}  # by round
SHOUTED: Final = 2
EARLY_S: Final = 0.10  # what lies between a sample that is written and its being heard
LESSON: Final = """
title = "Four clocks"
class = "Terns"
step = "quarters"
seed = 3
count_by_ear = true
think_seconds = 5
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
[voice]
rate_wpm = 200
[[round]]
time = "9:30"
wrong = "10:30"
[[round]]
time = "3:15"
wrong = "11:15"
[[round]]
time = "6:30"
wrong = "7:30"
[[round]]
time = "4:45"
wrong = "5:45"
"""

Sound = NDArray[np.float64]


def noise(seconds: float, low_hz: float, high_hz: float, rng: np.random.Generator) -> Sound:
    count = round(seconds * RATE)
    spectrum = np.fft.rfft(rng.standard_normal(count))
    hertz = np.fft.rfftfreq(count, 1 / RATE)
    sound = np.fft.irfft(np.where((hertz > low_hz) & (hertz < high_hz), spectrum, 0.0), count)
    return np.asarray(sound / sound.std())


class ClappingCrowd:
    """A null sink whose monitor is the microphone: quiet noise, and what is put into it at its moment."""

    def __init__(self, server: SoundServer) -> None:
        self._server = server
        self._module = server.control(
            "load-module", "module-null-sink", "sink_name=claps", f"rate={RATE}"
        ).strip()
        server.control("set-default-sink", "hall")
        server.control("set-default-source", "claps.monitor")
        play = ["pacat", "-p", "-d", "claps", "--latency-msec=60", "--format=float32le", f"--rate={RATE}"]
        self._player = subprocess.Popen(
            [*REAL_TIME, *play, "--channels=1", "--raw"],
            stdin=subprocess.PIPE,
            env=environ | server.environment,
        )
        assert self._player.stdin is not None
        fcntl.fcntl(self._player.stdin, fcntl.F_SETPIPE_SZ, 4096)
        self._pending: list[tuple[float, Sound]] = []
        self._lock = threading.Lock()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._sound, daemon=True)
        self._thread.start()

    def put(self, at_s: float, sound: Sound) -> None:
        with self._lock:
            self._pending.append((at_s - EARLY_S, sound))

    def _sound(self) -> None:
        rng = np.random.default_rng(2)
        assert self._player.stdin is not None
        rest = np.zeros(0)
        while not self._stop.is_set():
            now_s = time.monotonic()
            with self._lock:
                due = [sound for at_s, sound in self._pending if at_s <= now_s]
                self._pending = [each for each in self._pending if each[0] > now_s]
            for sound in due:
                size = max(rest.size, sound.size)
                rest = np.pad(rest, (0, size - rest.size)) + np.pad(sound, (0, size - sound.size))
            block, rest = rest[: RATE // 100], rest[RATE // 100 :]
            block = np.pad(block, (0, RATE // 100 - block.size)) + 0.0005 * rng.standard_normal(RATE // 100)
            self._player.stdin.write(block.astype("<f4").tobytes())
            self._player.stdin.flush()

    def close(self) -> None:
        self._stop.set()
        self._thread.join()
        self._player.terminate()
        self._player.wait()
        self._server.control("unload-module", self._module)


@contextmanager
def clapping_in(server: SoundServer) -> Iterator[ClappingCrowd]:
    crowd = ClappingCrowd(server)
    try:
        time.sleep(1.0)
        yield crowd
    finally:
        crowd.close()


class School:
    """Children who clap when their side is asked: each with hands of its own, in a room of 0.8 s."""

    def __init__(self, crowd: ClappingCrowd, run_sheet: RunSheet, layouts: Sequence[CallLayout]) -> None:
        self._crowd = crowd
        self._answers = {facts.round: facts.answer for facts in run_sheet.rounds}
        self._layouts = {layout.call.number: layout for layout in layouts}
        self._rng = np.random.default_rng(3)
        self._claps = [self._clap() for _ in range(40)]  # made now: they must not be late
        self._loud = 0.02 * 10 ** (self._rng.normal(0.0, 2.0, CHILDREN) / 20)

    def answer(self, event: dict[str, Any]) -> None:
        """Clap in the windows of the call that has just begun."""
        layout = self._layouts[event["number"]]
        began_s = event["steady"] - (event["heard_s"] - event["stream_s"])
        for window in windows(layout.call):
            beat_s = began_s + seconds_of(layout.spans[window.line].start)
            right = RIGHT[layout.call.round] if layout.call.round is not None else CHILDREN
            side = window.side in (None, self._answers.get(layout.call.round or 0))
            group = self._loud[:right] if side else self._loud[right:]
            for clap in range(CLAPS):
                for loud in group:
                    level = loud * 10 ** (self._rng.normal(0.0, 1.0) / 20)
                    at_s = beat_s + clap * CLAP_S + self._rng.normal(0.03, 0.03)
                    self._crowd.put(at_s, level * self._claps[self._rng.integers(len(self._claps))])
            if layout.call.round == SHOUTED:
                self._crowd.put(beat_s, 0.15 * noise(1.5, 300.0, 1_200.0, self._rng))

    def _clap(self) -> Sound:
        sound = noise(0.8, 1_000.0, 6_000.0, self._rng)
        return np.asarray(sound * 10 ** (-3.0 * np.arange(sound.size) / RATE / 0.8))


def run_sheet_of(script: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[RunSheet, Any]:
    monkeypatch.setenv("XDG_CACHE_HOME", str(cache))
    script.write_text(LESSON, encoding="utf-8")
    run_sheet = stage_of("", script.parent).run_sheet(read_lesson(script))
    with VoiceBox() as voice:
        return run_sheet, SpokenLengths(voice, load_tones()).layouts(run_sheet)


@pytest.mark.skipif(shutil.which("strace") is None, reason="needs strace (installed by .ci/run)")
def test_three_rounds_are_counted_one_is_refused_for_a_shout_and_nothing_heard_is_written(
    sound_server: SoundServer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache, trace = tmp_path / "cache", tmp_path / "trace"
    run_sheet, layouts = run_sheet_of(tmp_path / "lesson.toml", cache, monkeypatch)
    with clapping_in(sound_server) as crowd:
        school = School(crowd, run_sheet, layouts)
        lesson = Running(tmp_path, cache, sound_server.environment, before=traced_to(trace), lesson=LESSON)
        for call in run_sheet.calls:
            if call.kind == "claps":
                school.answer(lesson.wait_for("call", number=call.number))
        lesson.ends_well()
    told = {each["round"]: each["told"] for each in lesson.events() if each["event"] == "by ear"}
    assert told == {0: "the whole class", 1: "counted", 2: "voices", 3: "counted", 4: "counted"}
    with Store(tmp_path / "data" / "hall-caller" / "record.sqlite3") as store:
        (kept,) = store.lessons("Terns")
    heard = {each.number: each.heard for each in kept.rounds if each.part == "round"}
    assert heard[SHOUTED] is None
    for number, right in RIGHT.items():
        chances = heard[number]
        if number != SHOUTED:
            assert chances is not None
            assert float(np.dot(np.arange(CHILDREN + 1), chances)) == pytest.approx(right, abs=5.0)
    # What leaves the process that hears is its levels, through its pipe; no level is kept by anybody.
    the_hearer_wrote_no_file(trace)
    assert not any("level" in key or key.endswith("_db") for event in lesson.events() for key in event)
    log = json.dumps(lesson.events())
    assert "chances" not in log


def test_where_there_is_no_microphone_nobody_is_asked(tmp_path: Path) -> None:
    nowhere = {"PULSE_SERVER": f"unix:{tmp_path}/nothing", "HOME": str(tmp_path)}
    two_rounds = "[[round]]".join(LESSON.split("[[round]]")[:3])
    lesson = Running(tmp_path, tmp_path / "cache", nowhere, "--mute", lesson=two_rounds)
    lesson.wait_for("finished", within_s=240.0)
    lesson.ends_well()
    kinds = [each["kind"] for each in lesson.events() if each["event"] == "call"]
    assert kinds.count("answer") == 2
    assert "claps" not in kinds

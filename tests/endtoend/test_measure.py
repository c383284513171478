"""A hall measured through the real sound path: a sink, a room's echo, and a microphone.

And a late loudspeaker: a sink whose sound comes out of another a while later.
"""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import fftconvolve

from benchmarks.skew import Recorder
from caller.hall.bands import OCTAVES_HZ, octave_bands
from caller.hall.hallfile import read_hall
from tests.endtoend.conftest import RATE, REAL_TIME, Screen, SoundServer, caller_command, read_raw

pytestmark = pytest.mark.endtoend

ROOM = Path(__file__).with_name("room.py")
_MEET_MS = 10.0
_MINUTES = (
    3  # of some thirty beeps each: one picture held up by something else on the computer is a whole p99
)
TIMES_S = (2.4, 2.2, 2.0, 1.8, 1.6, 1.2, 0.8)  # an old gym's, band by band


def response_with(times_s: tuple[float, ...], *, seed: int = 5) -> np.ndarray:
    """Return a direct sound and band-wise decaying noise (Polack's model of a late response)."""
    rng = np.random.default_rng(seed)
    time_s = np.arange(int(1.2 * max(times_s) * RATE)) / RATE
    bands = octave_bands(rng.standard_normal(time_s.size), RATE)
    tail = sum(band * 10.0 ** (-3.0 * time_s / decay_s) for band, decay_s in zip(bands, times_s, strict=True))
    tail = np.asarray(tail) / np.sqrt(np.sum(np.asarray(tail) ** 2))
    response = 0.5 * tail
    response[0] = 0.3
    return np.asarray(response)


@contextmanager
def room_between(server: SoundServer, folder: Path, response: np.ndarray) -> Iterator[None]:
    """Let a second sink, whose monitor is the microphone, hear the first with a room's echo."""
    np.save(folder / "response.npy", response)
    module = server.control("load-module", "module-null-sink", "sink_name=ear", f"rate={RATE}").strip()
    server.control("set-default-sink", "hall")
    server.control("set-default-source", "ear.monitor")
    # Kept awake like the first: a null sink left alone renders in steps of two seconds.
    with Path("/dev/zero").open("rb") as zero:
        awake = subprocess.Popen(
            [*REAL_TIME, "pacat", "-p", "-d", "ear", "--latency-msec=10", "--raw"],
            stdin=zero,
            env=os.environ | server.environment,
        )
    room = subprocess.Popen(
        [*REAL_TIME, sys.executable, str(ROOM), str(folder / "response.npy"), "hall", "ear"],
        env=os.environ | server.environment,
        stdout=subprocess.PIPE,
        start_new_session=True,
    )
    try:
        assert room.stdout is not None
        assert room.stdout.readline() == b"listening\n"
        time.sleep(3.0)
        yield
    finally:
        os.killpg(room.pid, signal.SIGTERM)
        room.wait()
        awake.terminate()
        awake.wait()
        server.control("unload-module", module)


def measured(server: SoundServer, *words: str, data: Path | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*REAL_TIME, *caller_command("hall", "measure", *words)],
        env=os.environ | server.environment | ({} if data is None else {"XDG_DATA_HOME": str(data)}),
        capture_output=True,
        text=True,
        timeout=150,
        check=False,
    )


def test_a_sweep_through_the_real_sound_path_recovers_the_echo(
    sound_server: SoundServer, tmp_path: Path
) -> None:
    file = tmp_path / "our-hall.toml"
    file.write_text('# Ours.\nlike = "gym"  # as it was built\n', encoding="utf-8")
    with room_between(sound_server, tmp_path, response_with(TIMES_S)):
        done = measured(sound_server, str(file), "--json")
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    found = [band["t20_s"] for band in told["bands"]]
    assert [band["hz"] for band in told["bands"]] == list(OCTAVES_HZ)
    # 10 % in the bands that speech needs, and in the others where they could be measured.
    for hz, t20_s, true_s in zip(OCTAVES_HZ, found, TIMES_S, strict=True):
        assert t20_s is not None or hz not in (500, 1000, 2000, 4000)
        assert t20_s is None or t20_s == pytest.approx(true_s, rel=0.10), hz
    assert told["good"]
    text = file.read_text(encoding="utf-8")
    assert text.startswith('# Ours.\nlike = "gym"  # as it was built\n')
    kept = read_hall(file)
    assert kept.measured_reverberation_s == pytest.approx(told["reverberation_s"], abs=0.005)
    assert kept.measured_quiet_sti == pytest.approx(told["quiet_sti"], abs=0.0005)
    assert [path.name for path in tmp_path.iterdir() if path.suffix in {".wav", ".raw"}] == []


def test_ctrl_c_stops_the_sweep_at_once(sound_server: SoundServer, tmp_path: Path) -> None:
    with (
        room_between(sound_server, tmp_path, response_with(TIMES_S)),
        sound_server.recording(tmp_path / "raw"),
    ):
        started_s = time.monotonic()
        process = subprocess.Popen(
            [*REAL_TIME, *caller_command("hall", "measure")],
            env=os.environ | sound_server.environment,
            stderr=subprocess.PIPE,
        )
        assert process.stderr is not None
        while b"Sweep 1" not in process.stderr.readline():
            assert time.monotonic() < started_s + 60
        time.sleep(4.0)
        process.send_signal(signal.SIGINT)
        stopped_s = time.monotonic()
        assert process.wait(5) == 130
        assert time.monotonic() - stopped_s < 1.5
        time.sleep(2.0)
    heard = np.abs(read_raw(tmp_path / "raw"))
    sounding = np.flatnonzero(heard > 1e-3)
    assert sounding.size > RATE  # it did play
    assert (heard.size - sounding[-1]) / RATE > 1.0  # and was silent after the key


def test_without_a_microphone_the_error_is_kind(tmp_path: Path) -> None:
    server = SoundServer(tmp_path)
    server.start()
    try:
        # A monitor is a microphone to the sound system, so the one it has is taken away with the server.
        server.stop()
        done = measured(server)
    finally:
        server.stop()
    assert done.returncode == 1
    assert done.stderr.splitlines()[-1] == (
        "hall-caller: Measuring needs a loudspeaker and a microphone, and this computer does not have both:"
        " plug them in, or choose them in the sound settings."
    )
    assert "Traceback" not in done.stderr


@pytest.fixture(scope="module")
def late_hall(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SoundServer]:
    """A sound server of which the sink "hall" is what the program plays to, and "ear" what is heard of it."""
    server = SoundServer(tmp_path_factory.mktemp("late"))
    server.start()
    server.add_sink("ear")
    server.control("set-default-sink", "hall")
    server.control("set-default-source", "ear.monitor")
    yield server
    server.stop()


@contextmanager
def late_by(
    server: SoundServer, late_ms: int, folder: Path, *, steered: bool
) -> Iterator[tuple[Recorder, Recorder]]:
    """Let "ear" play what "hall" does so much later, both recorded with the moments at which they played.

    Two sinks have two clocks. What is `steered` stays as late for minutes, and is shifted by milliseconds now
    and then; what is not parts evenly (0.7 ms a second was seen), so that the middle of a sweep tells it.
    """
    way = ["source=hall.monitor", "sink=ear", f"latency_msec={late_ms}"]
    way += [] if steered else ["adjust_time=0"]
    module = server.control("load-module", "module-loopback", *way).strip()
    time.sleep(4.0)
    with pytest.MonkeyPatch.context() as patch:
        for name, value in server.environment.items():
            patch.setenv(name, value)
        recorders = [
            Recorder(folder / f"{sink}.raw", at_most_s=600.0, source=f"{sink}.monitor")
            for sink in ("hall", "ear")
        ]
    try:
        yield recorders[0], recorders[1]
    finally:
        for recorder in recorders:
            recorder.stop()
        server.control("unload-module", module)


def between_sinks_ms(played: Recorder, heard: Recorder) -> float:
    """Return how much later the middle of the sweep was heard than played, by when the recordings came."""
    before, after = (read_raw(each.path).astype(np.float64) for each in (played, heard))
    sounding = np.flatnonzero(np.abs(before) > 0.01)
    first = int(sounding[0] + sounding[-1]) // 2
    part = before[first : first + RATE]
    reach = after[first - RATE : first + 3 * RATE]
    at = first - RATE + int(np.abs(fftconvolve(reach, part[::-1], "valid")).argmax())
    middle = RATE // 2
    moments_s = [
        each.moments_s(np.array([sample + middle]))[0] for each, sample in ((played, first), (heard, at))
    ]
    return float(1000 * (moments_s[1] - moments_s[0]))


@pytest.mark.parametrize("late_ms", [50, 100, 200, 300])
def test_how_late_the_loudspeaker_sounds_is_found_and_remembered(
    late_hall: SoundServer, tmp_path: Path, late_ms: int
) -> None:
    """Against two recordings of one clock: what a loopback is asked for it keeps within some milliseconds."""
    with late_by(late_hall, late_ms, tmp_path, steered=False) as (played, heard):
        done = measured(late_hall, "--delay", "--json", data=tmp_path / "data")
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    true_ms = between_sinks_ms(played, heard)
    assert true_ms == pytest.approx(late_ms, abs=15.0)  # the loopback does what it is here for
    assert told["sound_delay_ms"] == pytest.approx(true_ms, abs=5.0)
    kept = tomllib.loads(
        (tmp_path / "data" / "hall-caller" / "loudspeakers.toml").read_text(encoding="utf-8")
    )
    (loudspeaker,) = kept["loudspeaker"]
    assert loudspeaker["name"] == told["loudspeaker"]
    # Whole milliseconds here, tenths there, each rounded from what was measured.
    assert loudspeaker["sound_delay_ms"] == pytest.approx(told["sound_delay_ms"], abs=0.55)


def test_beep_and_numeral_meet_in_the_hall_of_a_late_loudspeaker(
    late_hall: SoundServer, screen: Screen, tmp_path: Path
) -> None:
    """By the middle of some thirty beeps: single pictures are late with whatever else the computer does.

    `python -m benchmarks.skew 2 --hear ear.monitor` tells the 99th percentile, where nothing else goes on.
    """
    environment = os.environ | late_hall.environment | screen.environment
    folders = {"XDG_DATA_HOME": str(tmp_path / "data"), "XDG_CACHE_HOME": str(tmp_path / "cache")}
    watch = [sys.executable, "-m", "benchmarks.skew", "1", "--hear", "ear.monitor"]
    with late_by(late_hall, 200, tmp_path, steered=True):
        done = measured(late_hall, "--delay", data=tmp_path / "data")
        assert done.returncode == 0, done.stderr
        told = subprocess.run(
            [*REAL_TIME, *watch],
            env=environment | folders,
            capture_output=True,
            text=True,
            timeout=240,
            check=True,
        ).stdout
    found = re.search(r"median of (\d+) beeps \| (-?[\d.]+) ms", told)
    assert found is not None, told
    assert int(found[1]) >= 20, told
    assert abs(float(found[2])) <= _MEET_MS, told

"""A hall without a hall: a virtual screen, and a null sound sink whose monitor is recorded."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import fftconvolve

RATE = 48_000
# A sound card and a display do not wait for a busy processor: neither should what stands in for them here.
REAL_TIME = ("nice", "-n", "-15") if os.name == "posix" and os.geteuid() == 0 else ()
NEEDED = ("Xvfb", "xdotool", "pulseaudio", "parec", "pacat")

# A shell has what it starts in the background ignore Ctrl-C, and so do the programs that these tests start.
signal.signal(signal.SIGINT, signal.default_int_handler)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Say which tools are missing instead of failing on a machine without them."""
    missing = [tool for tool in NEEDED if shutil.which(tool) is None]
    if missing:
        for item in items:
            if "endtoend" in item.keywords:
                item.add_marker(pytest.mark.skip(reason=f"needs {', '.join(missing)} (installed by .ci/run)"))


@dataclass
class SoundServer:
    """A PulseAudio of our own with one null sink, and the environment that leads to it."""

    folder: Path
    environment: dict[str, str] = field(default_factory=dict)
    _processes: list[subprocess.Popen[bytes]] = field(default_factory=list)

    def start(self, *, in_step: bool = True) -> None:
        """Start it; `in_step` is for recordings, and hides how long a sink without listeners takes."""
        home, run = self.folder / "home", self.folder / "run"
        for folder in (home, run, run / "pulse"):
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        (home / ".asoundrc").write_text("pcm.!default { type pulse }\nctl.!default { type pulse }\n")
        socket = run / "native"
        self.environment = {
            "HOME": str(home),
            "XDG_RUNTIME_DIR": str(run),
            "PULSE_RUNTIME_PATH": str(run / "pulse"),
            "PULSE_SERVER": f"unix:{socket}",
        }
        options = ["--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no", "--disable-shm=no"]
        self._spawn(
            "pulseaudio",
            "-n",
            *options,
            "--realtime=no",
            "--high-priority=no",
            "-L",
            f"module-native-protocol-unix socket={socket} auth-anonymous=1",
            "-L",
            f"module-null-sink sink_name=hall rate={RATE}",
        )
        deadline = time.monotonic() + 15
        while self._ask("info") != 0:
            assert time.monotonic() < deadline, "the sound server did not start"
            time.sleep(0.1)
        if in_step:
            self.keep_awake("hall")

    def add_sink(self, name: str) -> None:
        """Let there be another null sink."""
        self.control("load-module", "module-null-sink", f"sink_name={name}", f"rate={RATE}")
        self.keep_awake(name)

    def keep_awake(self, sink: str) -> None:
        """A null sink left alone renders two seconds ahead; a quiet low-latency client keeps it in time."""
        self._spawn("pacat", "-p", "-d", sink, "--latency-msec=10", "--raw", stdin=Path("/dev/zero"))
        time.sleep(2.5)

    @contextmanager
    def recording(self, path: Path, *, device: str = "hall", channels: str = "mono") -> Iterator[None]:
        """Record what a sink plays in these channels, 16-bit, into `path`."""
        with path.open("wb") as file:
            recorder = subprocess.Popen(
                [
                    *REAL_TIME,
                    "parec",
                    "-d",
                    f"{device}.monitor",
                    "--latency-msec=50",
                    "--format=s16le",
                    f"--rate={RATE}",
                    f"--channels={len(channels.split(','))}",
                    f"--channel-map={channels}",
                    "--raw",
                ],
                stdout=file,
                env=os.environ | self.environment,
            )
            time.sleep(0.5)
            try:
                yield
            finally:
                time.sleep(0.5)
                recorder.terminate()
                recorder.wait()

    def control(self, *words: str) -> str:
        """Run `pactl` and return what it printed."""
        return subprocess.run(
            ["pactl", *words], env=os.environ | self.environment, check=True, capture_output=True, text=True
        ).stdout

    def stop(self) -> None:
        for process in reversed(self._processes):
            process.terminate()
            process.wait()

    def _ask(self, *words: str) -> int:
        return subprocess.run(
            ["pactl", *words], env=os.environ | self.environment, capture_output=True, check=False
        ).returncode

    def _spawn(self, *command: str, stdin: Path | None = None) -> None:
        source = None if stdin is None else stdin.open("rb")
        self._processes.append(
            subprocess.Popen(
                [*REAL_TIME, *command],
                env=os.environ | self.environment,
                stdin=source,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )
        )


@dataclass
class Screen:
    """A virtual display."""

    display: str
    size: tuple[int, int]

    @property
    def environment(self) -> dict[str, str]:
        return {"DISPLAY": self.display, "SDL_VIDEODRIVER": "x11"}

    def press(self, *keys: str) -> None:
        """Press keys as a person would, in the window that has the focus."""
        subprocess.run(
            ["xdotool", "key", "--delay", "60", *keys], env=os.environ | self.environment, check=True
        )


@pytest.fixture(scope="session")
def sound_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SoundServer]:
    server = SoundServer(tmp_path_factory.mktemp("sound"))
    server.start()
    yield server
    server.stop()


@pytest.fixture(scope="session")
def screen() -> Iterator[Screen]:
    size = (1280, 720)
    reader, writer = os.pipe()
    process = subprocess.Popen(
        [
            *REAL_TIME,
            "Xvfb",
            "-noreset",
            "-displayfd",
            str(writer),
            "-screen",
            "0",
            f"{size[0]}x{size[1]}x24",
        ],
        pass_fds=(writer,),
        stderr=subprocess.DEVNULL,
    )
    os.close(writer)
    with os.fdopen(reader) as answers:
        display = answers.readline().strip()
    yield Screen(f":{display}", size)
    process.terminate()
    process.wait()


@pytest.fixture
def caller_environment(
    sound_server: SoundServer, screen: Screen, tmp_path_factory: pytest.TempPathFactory
) -> dict[str, str]:
    """The environment for a run of the real program, with a cache shared by the whole session."""
    cache = tmp_path_factory.getbasetemp() / "cache"
    return (
        dict(os.environ)
        | sound_server.environment
        | screen.environment
        | {"XDG_CACHE_HOME": str(cache), "XDG_DATA_HOME": str(cache / "data")}
    )


def caller_command(*words: str) -> list[str]:
    """Return the command line of the real program in this environment."""
    return [sys.executable, "-m", "caller", *words]


def read_raw(path: Path) -> NDArray[np.float32]:
    """Return a recording as float32 mono."""
    return np.fromfile(path, dtype="<i2").astype(np.float32) * np.float32(1 / 32_768)


def between(low_hz: float, high_hz: float, sound: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return what a sound has between two frequencies, by its Fourier transform."""
    spectrum = np.fft.rfft(sound.astype(np.float64))
    hertz = np.fft.rfftfreq(sound.size, 1 / RATE)
    spectrum[(hertz < low_hz) | (hertz > high_hz)] = 0.0
    return np.fft.irfft(spectrum, sound.size).astype(np.float32)


def onsets_of(tone: NDArray[np.float32], recording: NDArray[np.float32]) -> NDArray[np.int64]:
    """Return where `tone` begins in `recording`: peaks of the normalised cross-correlation above 0.98.

    Only between 600 and 3000 Hz, which the beat under it leaves to the tones.
    """
    tone, recording = (between(600.0, 3_000.0, sound) for sound in (tone, recording))
    energy = fftconvolve(recording.astype(np.float64) ** 2, np.ones(len(tone)), "valid")
    match = fftconvolve(recording.astype(np.float64), tone[::-1].astype(np.float64), "valid")
    score = match / np.sqrt(np.maximum(energy, 1e-6) * float(np.sum(tone.astype(np.float64) ** 2)))
    onsets = []
    position = 0
    while position < len(score):
        if score[position] > 0.98:
            peak = position + int(np.argmax(score[position : position + RATE // 20]))
            onsets.append(peak)
            position = peak + RATE // 2
        else:
            position += 1
    return np.array(onsets)

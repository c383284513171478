"""What waiting costs: the processor's share while the start screen stands, while children think, in a pause.

Run `python -m benchmarks.waiting`; it needs a display, a sound device (Xvfb and a null sink will do), xdotool
for the pause, and Linux for `/proc`. The floor is a window of the same size that only asks for its events at
the same rate; in a pause the loudspeaker stays open, so that one's plays silence, in as large pieces.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from benchmarks.figures import Figure, table
from benchmarks.usage import as_installed, resident_mb
from caller.live.loudspeaker.speakers import LATENCY_S
from caller.sound import SAMPLE_RATE

WATCHED_S = 10.0
SETTLED_S = 6.0
THINKING_FROM_S = 0.5
THINKING_S = 8.0  # of the demo's twelve
SIZE = "1920x1080"
PAUSED_FROM_S = 3.0

FLOOR = """
import pygame, time
pygame.display.init()
pygame.display.set_mode((1920, 1080))
while True:
    pygame.event.get()
    time.sleep({rest_s})
"""
SILENCE = """
import sounddevice
stream = sounddevice.OutputStream(
    samplerate={rate}, channels=1, latency={latency_s}, callback=lambda out, *_: out.fill(0.0)
)
stream.start()
"""


def measure() -> list[Figure]:
    beside = "{:.1f} %: a bare window that asks for its events {} times a second"
    bare_30, bare_60 = (
        _share(["-c", FLOOR.format(rest_s=1 / rate)], SETTLED_S, WATCHED_S) for rate in (30, 60)
    )
    silent = _share(
        ["-c", SILENCE.format(rate=SAMPLE_RATE, latency_s=LATENCY_S) + FLOOR.format(rest_s=1 / 30)],
        SETTLED_S,
        WATCHED_S,
    )
    share, held_mb, paused = _thinking()
    return [
        Figure(
            what="the start screen stands",
            value=_share(["-m", "caller"], SETTLED_S, WATCHED_S),
            unit="% of one core",
            beside=beside.format(bare_30, 30),
        ),
        Figure(
            what="a class thinks: two figures move, the countdown sounds",
            value=share,
            unit="% of one core",
            beside="8 % wanted; " + beside.format(bare_60, 60),
        ),
        Figure(
            what="the lesson is paused",
            value=paused,
            unit="% of one core",
            beside=f"{silent:.1f} %: a bare window as above that plays silence",
        ),
        Figure(
            what="a class thinks: memory of the whole process",
            value=held_mb,
            unit="MB",
            beside="140 MB wanted",
        ),
    ]


def _share(words: list[str], settled_s: float, watched_s: float) -> float:
    process = subprocess.Popen([sys.executable, *words], env=as_installed())
    try:
        time.sleep(settled_s)
        return _watched(process.pid, watched_s)
    finally:
        process.kill()
        process.wait()


def _thinking() -> tuple[float, float, float]:
    """Return the share of a core in per cent, the memory held in MB, and the share in a pause after it."""
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "log"
        words = ["run", "demo", "--from", "1", "--size", SIZE, "--log", str(log)]
        process = subprocess.Popen([sys.executable, "-m", "caller", *words], env=as_installed())
        try:
            while not _thinks(log):
                if process.poll() is not None:
                    raise SystemExit(f"the lesson ended by itself, with {process.returncode}")
                time.sleep(0.05)
            time.sleep(THINKING_FROM_S)
            share, held_mb = _watched(process.pid, THINKING_S), resident_mb(process.pid)
            subprocess.run(["xdotool", "key", "space"], check=True)
            time.sleep(PAUSED_FROM_S)
            return share, held_mb, _watched(process.pid, WATCHED_S)
        finally:
            process.kill()
            process.wait()


def _thinks(log: Path) -> bool:
    lines = log.read_text(encoding="utf-8").splitlines() if log.exists() else []
    return any(json.loads(line).get("kind") == "move" for line in lines)


def _watched(process: int, seconds: float) -> float:
    """Return how much of one core a process takes, in per cent; the display server not counted."""
    began_s, used_s = time.monotonic(), _used_s(process)
    time.sleep(seconds)
    return 100 * (_used_s(process) - used_s) / (time.monotonic() - began_s)


def _used_s(process: int) -> float:
    fields = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return sum(int(ticks) for ticks in fields[11:13]) / os.sysconf("SC_CLK_TCK")


if __name__ == "__main__":
    print(table(measure()))

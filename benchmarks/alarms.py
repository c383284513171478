"""How often a loudspeaker that works is called lost, and how soon one that was unplugged is.

Run `python -m benchmarks.alarms [MINUTES]`: so long with nothing else to do, and as long again under four
busy loops (`--busy LOOPS` for one such run). It ends with 1 if a loudspeaker that works was called lost, or
if one that was unplugged was not noticed within two seconds. It needs PulseAudio, and starts one of its own
with a null sink that nobody records and no other client plays into: a client with a short buffer would keep
the sink in step, and hide what a sink alone does. More than a hundred times an hour the stream is cut, as
every pause and skip does, some of them close to each other; what follows is silence, as in a pause. With
`--suspend` the sink is suspended for five seconds every two minutes: then it cannot play, and one loss each
is right.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from benchmarks.figures import Figure, table

MINUTES = 5.0
NOTICED_S = 2.0
BUSY = 4
_CUTS_PER_S = 1 / 40
_FRAME_S = 1 / 60
_SUSPEND_EVERY_S, _SUSPENDED_S = 120.0, 5.0


@contextmanager
def null_sink() -> Iterator[None]:
    """Lead this process to a sound server of its own, whose one sink is called `hall`."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "pulse").mkdir(mode=0o700)
        (folder / ".asoundrc").write_text("pcm.!default { type pulse }\nctl.!default { type pulse }\n")
        socket = f"unix:{folder}/native"
        os.environ.update(HOME=name, XDG_RUNTIME_DIR=name, PULSE_RUNTIME_PATH=name, PULSE_SERVER=socket)
        options = ["-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no"]
        protocol = f"module-native-protocol-unix socket={folder}/native auth-anonymous=1"
        sink = "module-null-sink sink_name=hall rate=48000"
        server = subprocess.Popen(
            ["pulseaudio", *options, "-L", protocol, "-L", sink],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        try:
            while subprocess.run(["pactl", "info"], check=False, capture_output=True).returncode:
                time.sleep(0.1)
            yield
        finally:
            server.terminate()
            server.wait()


def measure(minutes: float = MINUTES, *, busy: int = 0, suspend: bool = False, seed: int = 1) -> list[Figure]:
    """Watch a loudspeaker as a lesson does, and cut it as a teacher does."""
    from caller.live.loudspeaker.output import Output, SpeakerBeingOpened
    from caller.live.loudspeaker.player import Player

    losses: list[float] = []
    back: list[float] = []
    chance = random.Random(seed)
    loops = [multiprocessing.Process(target=_busy, daemon=True) for _ in range(busy)]

    def tell(event: str, _device: str) -> None:
        sys.stderr.write(f"{time.monotonic() - began_s:.1f} s: {event}\n")
        {"sound lost": losses, "sound back": back}[event].append(time.monotonic())

    with null_sink():
        for loop in loops:
            loop.start()
        began_s = next_suspension_s = time.monotonic()
        output = Output(SpeakerBeingOpened(Player()), tell=tell)
        cuts = suspensions = 0
        next_cut_s = began_s + 1.0
        next_suspension_s += _SUSPEND_EVERY_S if suspend else float("inf")
        while time.monotonic() - began_s < 60 * minutes:
            time.sleep(_FRAME_S)
            output.heard()
            output.look_after()
            if time.monotonic() >= next_cut_s:
                output.cut()
                cuts += 1
                near = cuts % 6 in (1, 2)
                next_cut_s += chance.uniform(0.1, 2.0) if near else chance.expovariate(_CUTS_PER_S)
            if time.monotonic() >= next_suspension_s:
                subprocess.run(["pactl", "suspend-sink", "hall", "1"], check=True)
                _watch(output, _SUSPENDED_S)
                subprocess.run(["pactl", "suspend-sink", "hall", "0"], check=True)
                suspensions += 1
                next_suspension_s += _SUSPEND_EVERY_S
        false = len(losses) - suspensions
        _watch(output, 4.0)
        unplugged_s = time.monotonic()
        before = len(losses)
        subprocess.run(["pactl", "unload-module", _module()], check=True)
        _watch(output, 4.0)
        noticed_s = losses[before] - unplugged_s if len(losses) > before else float("inf")
        output.close()
        for loop in loops:
            loop.terminate()
    where = f"{minutes:g} min, {cuts} cuts, {busy} busy loops, {suspensions} suspensions"
    return [
        Figure(what=f"false alarms ({where})", value=false * 60 / minutes, unit="an hour", beside="0"),
        Figure(what="an unplugged loudspeaker is noticed after", value=noticed_s, unit="s", beside="2 s"),
    ]


def _watch(output: object, seconds: float) -> None:
    until_s = time.monotonic() + seconds
    while time.monotonic() < until_s:
        time.sleep(_FRAME_S)
        output.look_after()  # type: ignore[attr-defined]


def _module() -> str:
    told = subprocess.run(["pactl", "list", "short", "modules"], check=True, capture_output=True, text=True)
    return next(line.split()[0] for line in told.stdout.splitlines() if "sink_name=hall" in line)


def _busy() -> None:
    while True:
        pass


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("minutes", nargs="?", type=float, default=MINUTES)
    parser.add_argument("--busy", type=int)
    parser.add_argument("--suspend", action="store_true")
    parser.add_argument("--seed", type=int, default=1, help="of the moments at which the stream is cut")
    asked = parser.parse_args()
    if asked.busy is None:
        more = [f"--seed={asked.seed}", *(["--suspend"] if asked.suspend else [])]
        runs = [[sys.executable, "-m", "benchmarks.alarms", str(asked.minutes), "--busy", str(busy), *more]
                for busy in (0, BUSY)]  # fmt: skip
        # Each in a process of its own: a sound library keeps to the server that it found first.
        return max([subprocess.run(run, check=False).returncode for run in runs])
    false, noticed = figures = measure(asked.minutes, busy=asked.busy, suspend=asked.suspend, seed=asked.seed)
    print(table(figures))
    return 0 if false.value == 0 and noticed.value <= NOTICED_S else 1


if __name__ == "__main__":
    raise SystemExit(main())

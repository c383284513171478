"""Sound against picture in real time, heard at the sink's monitor: skew, drift, onsets, and growth meanwhile.

Run `python -m benchmarks.skew [MINUTES] [--plot FILE]` (an hour is `60`); it needs a display and PulseAudio's
default sink, whose monitor `parec` records (Xvfb and a null sink will do).  `--hear SOURCE` records another:
the hall of a late loudspeaker, which is a second sink that a delayed loopback feeds (first comes `hall-caller
hall measure --delay`).

For each beep of the countdown it compares the moment at which the picture with the new numeral had been
handed to the screen with the moment at which the beep stood in the monitor.  Positive: the picture is late.
The moment of a recorded sample is the earliest that any block's arrival allows. A monitor hands a block over
when it is rendered, before it would be heard: a picture looks late by up to a block, so the recorder asks for
blocks of a millisecond (with 2, 4 and 10 the median was 1.9, 3.6 and 8.9 ms).
"""

from __future__ import annotations

import argparse
import math
import subprocess
import tempfile
import threading
import time
from array import array
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.signal import fftconvolve

from benchmarks.figures import Figure, table
from benchmarks.usage import Usage, usage
from caller.lesson.library import find_lesson, read_lesson
from caller.live.background import RunLog
from caller.live.performance import PlanToLead
from caller.live.performance.performance import Performance
from caller.live.room import Room
from caller.live.window import Picture, Window
from caller.runsheet import RunSheet
from caller.runsheet.sequence import make_run_sheet
from caller.screen.scene import Scene
from caller.sound import SAMPLE_RATE
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline import seconds_of
from caller.timeline.segment import Timeline

MINUTES = 2.0
FRAME_MS = 1000 / 60
_BLOCK = 480
_AROUND = 200  # blocks before and after: two seconds each
_ALIKE = 0.9
_SPARE_S = 60.0
_LEAD_IN_S = 3
_ALLOWED_MS, _MEDIAN_MS = 5.0, 1.0


class WatchedWindow(Window):
    """A window that notes when each of the countdown's numerals that a beep goes with came on."""

    def __init__(self, beeps: int) -> None:
        super().__init__(size=(1280, 720))
        self._beeps = beeps
        self.numerals: list[tuple[float, int]] = []  # when, and the numeral
        self._last = 0

    def show(self, picture: Picture) -> bool:
        """Show it, and note a new numeral."""
        drawn = super().show(picture)
        left = math.ceil(picture.left_s) if isinstance(picture, Scene) else 0
        if left != self._last:
            self._last = left
            if 0 < left <= self._beeps:
                self.numerals.append((time.monotonic(), left))
        return drawn


@dataclass
class Recorder:
    """The monitor, recorded by another process; remembers when each block came."""

    path: Path
    at_most_s: float
    source: str = "@DEFAULT_MONITOR@"
    arrivals: array[float] = field(init=False)

    def __post_init__(self) -> None:
        # The whole room beforehand: what the measuring needs must not look like growth of the lesson.
        self.arrivals = array("d", [0.0]) * int(self.at_most_s * SAMPLE_RATE / _BLOCK)
        self._blocks = 0
        command = ["parec", "-d", self.source, "--latency-msec=1", "--format=s16le", "--channels=1"]
        self._process = subprocess.Popen([*command, f"--rate={SAMPLE_RATE}", "--raw"], stdout=subprocess.PIPE)
        self._thread = threading.Thread(target=self._read, daemon=True)
        self._thread.start()

    def _read(self) -> None:
        assert self._process.stdout is not None
        with self.path.open("wb") as file:
            while block := self._process.stdout.read(2 * _BLOCK):
                self.arrivals[self._blocks] = time.monotonic()
                self._blocks += 1
                file.write(block)

    def stop(self) -> None:
        self._process.terminate()
        self._process.wait()
        self._thread.join()

    def moments_s(self, samples: NDArray[np.int64]) -> NDArray[np.float64]:
        """Return when recorded samples stood in the monitor: the earliest that the blocks around them allow.

        Around them only: a sink's clock runs at its own pace (a null sink's by some 300 ppm off).
        """
        ends_s = np.arange(1, self._blocks + 1) * _BLOCK / SAMPLE_RATE
        offsets_s = np.array(self.arrivals[: self._blocks]) - ends_s
        blocks = np.clip(samples // _BLOCK, 0, len(offsets_s) - 1)
        around = [offsets_s[max(block - _AROUND, 0) : block + _AROUND] for block in blocks]
        return np.array([np.percentile(each, 2) for each in around]) + samples / SAMPLE_RATE


def onsets(path: Path, tone: NDArray[np.float32]) -> NDArray[np.int64]:
    """Return where `tone` begins in a recording: peaks of the normalised cross-correlation, by the minute."""
    recorded = np.memmap(path, dtype="<i2", mode="r")
    found: list[int] = []
    step, size = 60 * SAMPLE_RATE, len(tone)
    for start in range(0, len(recorded) - size, step):
        part = recorded[start : start + step + size].astype(np.float64) / 32_768
        match = fftconvolve(part, tone[::-1].astype(np.float64), "valid")
        energy = fftconvolve(part**2, np.ones(size), "valid")
        score = match / np.sqrt(np.maximum(energy, 1e-5) * float(np.sum(tone.astype(np.float64) ** 2)))
        position = 0
        while (above := np.flatnonzero(score[position:step] > _ALIKE)).size:
            first = position + int(above[0])
            peak = first + int(np.argmax(score[first : first + SAMPLE_RATE // 20]))
            found.append(start + peak)
            position = peak + SAMPLE_RATE // 2
    return np.array(found, dtype=np.int64)


def long_lesson(minutes: float, voice: VoiceBox) -> tuple[RunSheet, float]:
    """Return the demo's countdowns with beeps over and over for some minutes, and how long once takes (s)."""
    run_sheet = make_run_sheet(read_lesson(find_lesson("demo")))
    # Without a beat, a beep is alone and its onset can be told to the sample; and beeps are what is counted.
    asking = tuple(
        replace(call, beat=None, countdown=replace(call.countdown, seconds=call.countdown.beeps + _LEAD_IN_S))
        for call in run_sheet.calls
        if call.countdown is not None and call.countdown.beeps
    )
    timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
    length_s = sum(seconds_of(timeline.length(call)) for call in asking)
    times = max(math.ceil(minutes * 60 / length_s), 1)
    return replace(run_sheet, calls=asking * times), length_s


def measure(minutes: float = MINUTES, plot: Path | None = None, hear: str = Recorder.source) -> list[Figure]:
    if plot is not None:
        from benchmarks import plots  # now: an hour later is late to learn that it is missing
    held: list[Usage] = []
    stop = threading.Event()

    with tempfile.TemporaryDirectory() as folder, VoiceBox() as voice:
        lesson, once_s = long_lesson(minutes, voice)

        def watch() -> None:
            stop.wait(min(once_s, minutes * 30))  # by then every picture was drawn once
            while not stop.wait(5.0):
                held.append(usage())

        log = Path(folder) / "log"
        at_most_s = minutes * 60 + once_s + _SPARE_S
        recorder = Recorder(Path(folder) / "monitor.raw", at_most_s=at_most_s, source=hear)
        watcher = threading.Thread(target=watch)
        window = WatchedWindow(max(call.countdown.beeps for call in lesson.calls if call.countdown))
        watcher.start()
        began_s, used_s = time.monotonic(), time.process_time()
        try:
            with RunLog(log) as events, Room(window, voice, log=events) as room:
                Performance(room, PlanToLead(run_sheet=lesson)).run()
        finally:
            took_s, used_s = time.monotonic() - began_s, time.process_time() - used_s
            stop.set()
            watcher.join()
            window.close()
            time.sleep(1.0)
            recorder.stop()
        heard = onsets(recorder.path, load_tones()["beep"].samples)
        heard_s = recorder.moments_s(heard)
        underruns = log.read_text(encoding="utf-8").splitlines()[-1]
    shown_s = np.array([when for when, _ in window.numerals])
    skew_ms = _skew_ms(shown_s, heard_s)
    if plot is not None:
        plots.over_time(
            plot, (shown_s - began_s) / 60, skew_ms, what="picture after sound, ms", limit=_ALLOWED_MS
        )
    return [*_skew(shown_s, skew_ms), *_intervals(heard), *_growth(held, used_s / took_s, underruns)]


def _skew_ms(shown_s: NDArray[np.float64], heard_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """Pair each numeral with the beep nearest to it."""
    nearest = np.array([heard_s[np.argmin(np.abs(heard_s - when))] for when in shown_s])
    return np.asarray((shown_s - nearest) * 1000, dtype=np.float64)


def _skew(shown_s: NDArray[np.float64], skew_ms: NDArray[np.float64]) -> list[Figure]:
    paired = np.abs(skew_ms) < 400
    skew_ms, shown_s = skew_ms[paired], shown_s[paired]
    # The middle of many differences between early and late is not moved by a single late picture (Theil-Sen).
    from scipy.stats import theilslopes

    drift = theilslopes(skew_ms, shown_s / 3600)
    between = f"95 %: {drift.low_slope:.1f} to {drift.high_slope:.1f}"
    centred = np.abs(skew_ms - np.median(skew_ms))
    beside = f"half a frame: {FRAME_MS / 2:.1f} ms"
    return [
        Figure(
            what=f"picture after sound, median of {len(skew_ms)} beeps",
            value=float(np.median(skew_ms)),
            unit="ms",
            beside=f"{_MEDIAN_MS:.0f} ms asked for",
        ),
        Figure(
            what="sound/picture skew, p99 of its size",
            value=float(np.percentile(np.abs(skew_ms), 99)),
            unit="ms",
            beside=f"{_ALLOWED_MS:.0f} ms asked for",
        ),
        Figure(what="its size, p90", value=float(np.percentile(np.abs(skew_ms), 90)), unit="ms"),
        Figure(
            what="its spread about the median, p99",
            value=float(np.percentile(centred, 99)),
            unit="ms",
            beside=beside,
        ),
        Figure(
            what="beeps without their numeral", value=float(np.count_nonzero(~paired)), unit="", beside="0"
        ),
        Figure(
            what=f"drift of the picture against the sample clock ({between})",
            value=float(drift.slope),
            unit="ms/h",
            beside="1 ms/h",
        ),
    ]


def _intervals(heard: NDArray[np.int64]) -> list[Figure]:
    """Say how exact the second between beeps of one countdown is."""
    gaps = np.diff(heard) / SAMPLE_RATE
    seconds = gaps[np.abs(gaps - 1) < 0.3]
    return [
        Figure(
            what=f"beep to beep, largest deviation from 1 s ({len(seconds)} gaps)",
            value=float(np.max(np.abs(seconds - 1)) * 1000),
            unit="ms",
            beside="sleep and play per beep: 10.7–17.4 ms; sample-counted bare library: 0.00 ms",
        )
    ]


def _growth(held: list[Usage], processor: float, last_event: str) -> list[Figure]:
    first, last = held[0], held[-1]
    ran_dry = last_event.partition('"underruns": ')[2].rstrip("}") or "nan"
    return [
        Figure(
            what="growth of memory after settling",
            value=last.resident_mb - first.resident_mb,
            unit="MB",
            beside="1 MB in an hour",
        ),
        Figure(what="growth of threads", value=last.threads - first.threads, unit="", beside="0"),
        Figure(what="growth of open files", value=last.files - first.files, unit="", beside="0"),
        Figure(what="times the sound ran dry", value=float(ran_dry), unit="", beside="0"),
        Figure(what="processor used", value=100 * processor, unit="% of one core"),
    ]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("minutes", nargs="?", type=float, default=MINUTES, metavar="MINUTES")
    parser.add_argument("--plot", type=Path, metavar="FILE")
    parser.add_argument("--hear", default=Recorder.source, metavar="SOURCE", help="what PulseAudio records")
    arguments = parser.parse_args()
    print(table(measure(arguments.minutes, arguments.plot, arguments.hear)))


if __name__ == "__main__":
    main()

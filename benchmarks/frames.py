"""How long a picture takes: a whole demo lesson drawn at 60 pictures a second into the real window.

Run `python -m benchmarks.frames [WIDTHxHEIGHT] [--plot FILE]`; it needs a display (Xvfb will do).
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

import numpy as np

from benchmarks.figures import Figure, table
from caller.lesson.library import find_lesson, read_lesson
from caller.live.window import Window
from caller.runsheet.sequence import make_run_sheet
from caller.sound import SAMPLE_RATE
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.picture import scene_at
from caller.timeline.segment import Timeline

FRAME = SAMPLE_RATE // 60
FRAME_MS = 1000 / 60


def measure(width: int = 1920, height: int = 1080) -> list[float]:
    """Return how long each picture took, in milliseconds."""
    window = Window(size=(width, height))
    run_sheet = make_run_sheet(read_lesson(find_lesson("demo")))
    times_ms: list[float] = []
    with VoiceBox() as voice:
        timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
        for call in run_sheet.calls:
            layout = timeline.segment(call).layout
            for sample in range(0, layout.length, FRAME):
                list(window.inputs())
                began_s = time.perf_counter()
                window.show(scene_at(layout, sample))
                times_ms.append((time.perf_counter() - began_s) * 1000)
    window.close()
    return times_ms


def figures(times_ms: list[float], size: str) -> list[Figure]:
    beside = f"{FRAME_MS:.1f} ms: one picture in sixty"
    name = f"picture to the window, {size}, {len(times_ms)} pictures"
    return [
        Figure(what=f"{name}, median", value=float(np.median(times_ms)), unit="ms", beside=beside),
        Figure(what=f"{name}, p99", value=float(np.percentile(times_ms, 99)), unit="ms", beside=beside),
        Figure(what=f"{name}, longest", value=max(times_ms), unit="ms", beside=beside),
    ]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("size", nargs="?", default="1920x1080", metavar="WIDTHxHEIGHT")
    parser.add_argument("--plot", type=Path, metavar="FILE")
    arguments = parser.parse_args()
    times_ms = measure(*map(int, arguments.size.split("x")))
    print(table(figures(times_ms, arguments.size)))
    if arguments.plot:
        from benchmarks.plots import histogram

        histogram(arguments.plot, np.array(times_ms), what="milliseconds a picture", limit=FRAME_MS)


if __name__ == "__main__":
    main()

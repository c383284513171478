"""How long a picture takes: every picture of the demo that the hall draws, into the real window.

Run `python -m benchmarks.frames [WIDTHxHEIGHT...] [--plot FILE]`; it needs a display as large (Xvfb will do).
The plot is of the first size.
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
from caller.timeline.picture import FRAME_S, scene_at
from caller.timeline.segment import Timeline

FRAME = round(SAMPLE_RATE * FRAME_S)
ASKED_MS = {"1920x1080": 8.0, "3840x2160": 1000 / 60}
"""The p99 that is asked for, on two cores."""


def measure(width: int, height: int) -> tuple[list[float], list[float]]:
    """Return how long each new picture took when it was due, and how long drawing ahead took before; in ms.

    Each is drawn in the rest before it is due, as in a lesson, and then sent.
    """
    window = Window(size=(width, height))
    run_sheet = make_run_sheet(read_lesson(find_lesson("demo")))
    times_ms: list[float] = []
    ahead_ms: list[float] = []
    with VoiceBox() as voice:
        timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
        for call in run_sheet.calls:
            layout = timeline.segment(call).layout
            for sample in range(0, layout.length, FRAME):
                list(window.inputs())
                ahead_s = time.perf_counter()
                window.draw_ahead(scene_at(layout, sample))
                began_s = time.perf_counter()
                if window.show(scene_at(layout, sample)):
                    times_ms.append((time.perf_counter() - began_s) * 1000)
                    ahead_ms.append((began_s - ahead_s) * 1000)
    window.close()
    return times_ms, ahead_ms


def figures(times_ms: list[float], ahead_ms: list[float], size: str) -> list[Figure]:
    asked = f"{ASKED_MS[size]:.3g} ms asked for" if size in ASKED_MS else ""
    name = f"picture to the window, {size}, {len(times_ms)} pictures"
    return [
        Figure(what=f"{name}, median", value=float(np.median(times_ms)), unit="ms"),
        Figure(what=f"{name}, p99", value=float(np.percentile(times_ms, 99)), unit="ms", beside=asked),
        Figure(
            what=f"{name}, longest",
            value=max(times_ms),
            unit="ms",
            beside=f"{FRAME_S * 1000:.3g} ms: until the next picture is due",
        ),
        Figure(
            what=f"drawn ahead, in the rest before it, {size}, p99",
            value=float(np.percentile(ahead_ms, 99)),
            unit="ms",
        ),
    ]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", nargs="*", default=[*ASKED_MS], metavar="WIDTHxHEIGHT")
    parser.add_argument("--plot", type=Path, metavar="FILE")
    arguments = parser.parse_args()
    measured = {size: measure(*map(int, size.split("x"))) for size in arguments.sizes}
    print(table([each for size, took_ms in measured.items() for each in figures(*took_ms, size)]))
    if arguments.plot:
        from benchmarks.plots import histogram

        first = arguments.sizes[0]
        limit = ASKED_MS.get(first, FRAME_S * 1000)
        histogram(arguments.plot, np.array(measured[first][0]), what="milliseconds a picture", limit=limit)


if __name__ == "__main__":
    main()

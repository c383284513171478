"""How long a picture takes: a whole demo lesson drawn at 60 pictures a second into the real window.

Run `python -m benchmarks.frames [WIDTHxHEIGHT]`; it needs a display (Xvfb will do).
"""

from __future__ import annotations

import sys
import time

import numpy as np

from benchmarks.figures import Figure, table
from caller.lesson.library import find_lesson
from caller.lesson.reading import read_lesson
from caller.live.window import Window
from caller.runsheet.sequence import make_run_sheet
from caller.sound.levels import SAMPLE_RATE
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.picture import scene_at
from caller.timeline.segment import Timeline

FRAME = SAMPLE_RATE // 60


def measure(width: int = 1920, height: int = 1080) -> list[Figure]:
    window = Window(size=(width, height))
    run_sheet = make_run_sheet(read_lesson(find_lesson("demo")))
    times_ms: list[float] = []
    with VoiceBox() as voice:
        timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
        heard = 0
        for call in run_sheet.calls:
            layout = timeline.segment(call).layout
            for sample in range(0, layout.length, FRAME):
                list(window.inputs())
                began_s = time.perf_counter()
                window.show(scene_at(layout, sample, move_s=(heard + sample) / SAMPLE_RATE))
                times_ms.append((time.perf_counter() - began_s) * 1000)
            heard += layout.length
    window.close()
    beside = f"{1000 / 60:.1f} ms: one picture in sixty"
    name = f"picture to the window, {width}×{height}, {len(times_ms)} pictures"
    return [
        Figure(what=f"{name}, median", value=float(np.median(times_ms)), unit="ms", beside=beside),
        Figure(what=f"{name}, p99", value=float(np.percentile(times_ms, 99)), unit="ms", beside=beside),
        Figure(what=f"{name}, longest", value=max(times_ms), unit="ms", beside=beside),
    ]


if __name__ == "__main__":
    size = [int(part) for part in sys.argv[1].split("x")] if len(sys.argv) > 1 else []
    print(table(measure(*size)))

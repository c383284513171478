"""How soon after the command the first picture stands and the first word is heard, with a warm cache.

Run `python -m benchmarks.start`; it needs a display and a sound device (Xvfb and a null sink will do).
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from benchmarks.figures import Figure, table
from caller.lesson.library import find_lesson, read_lesson
from caller.runsheet.sequence import make_run_sheet
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline import seconds_of
from caller.timeline.segment import Timeline

RUNS = 7


def measure() -> list[Figure]:
    run_sheet = make_run_sheet(read_lesson(find_lesson("demo")))
    with VoiceBox() as voice:
        timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
        timeline.starts()  # warms the cache
        first_word_s = seconds_of(timeline.segment(run_sheet.calls[0]).layout.spans[0].speech_start)
    pictures, words = zip(*(one_run(first_word_s) for _ in range(RUNS)), strict=True)
    return [
        Figure(
            what=f"first picture after the command (median of {RUNS})",
            value=median(pictures),
            unit="s",
            beside="1.5 s",
        ),
        Figure(
            what=f"first word after the command (median of {RUNS})",
            value=median(words),
            unit="s",
            beside="2.5 s",
        ),
        Figure(
            what="  of which the attention tone and the breath before the word", value=first_word_s, unit="s"
        ),
        Figure(
            what=f"first word after the command (slowest of {RUNS})",
            value=max(words),
            unit="s",
            beside="2.5 s",
        ),
    ]


def one_run(first_word_s: float) -> tuple[float, float]:
    """Return when the first picture stood and the first word was heard, in seconds from the command."""
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "log"
        began = time.time()
        process = subprocess.Popen([sys.executable, "-m", "caller", "run", "demo", "--log", str(log)])
        try:
            events: dict[str, float] = {}
            while "first sound" not in events:
                time.sleep(0.05)
                lines = log.read_text(encoding="utf-8").splitlines() if log.exists() else []
                events = {event["event"]: event["at"] for event in map(json.loads, lines)}
        finally:
            process.kill()
            process.wait()
    return events["first picture"] - began, events["first sound"] - began + first_word_s


if __name__ == "__main__":
    print(table(measure()))

"""How soon after the command the first picture stands and the first word is heard.

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
from benchmarks.usage import as_installed
from caller.lesson.library import find_lesson, read_lesson
from caller.runsheet.sequence import make_run_sheet
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline import seconds_of
from caller.timeline.segment import Timeline

RUNS = 7
EMPTY_RUNS = 3


def measure() -> list[Figure]:
    run_sheet = make_run_sheet(read_lesson(find_lesson("demo")))
    with VoiceBox() as voice:
        timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
        timeline.starts()  # warms the cache
        first_word_s = seconds_of(timeline.segment(run_sheet.calls[0]).layout.spans[0].speech_start)
    one_run()  # compiles
    warm = [one_run() for _ in range(RUNS)]
    empty = []
    for _ in range(EMPTY_RUNS):
        with tempfile.TemporaryDirectory() as home:
            empty.append(one_run(Path(home)))
    warm_s = median(sound_s for _, sound_s in warm)
    return [
        Figure(
            what=f"first picture after the command (median of {RUNS})",
            value=median(picture_s for picture_s, _ in warm),
            unit="s",
        ),
        Figure(
            what=f"attention tone after the command (median of {RUNS})",
            value=warm_s,
            unit="s",
            beside="0.8 s wanted",
        ),
        Figure(
            what=f"first word after the command (median of {RUNS})",
            value=warm_s + first_word_s,
            unit="s",
            beside="1.6 s wanted",
        ),
        Figure(
            what="  of which the attention tone and the breath before the word", value=first_word_s, unit="s"
        ),
        Figure(
            what=f"first word after the command (slowest of {RUNS})",
            value=max(sound_s for _, sound_s in warm) + first_word_s,
            unit="s",
        ),
        Figure(
            what=f"first word with an empty cache (median of {EMPTY_RUNS})",
            value=median(sound_s for _, sound_s in empty) + first_word_s,
            unit="s",
            beside=f"{1.5 * (warm_s + first_word_s):.2f} s wanted: 1.5 times the warm one",
        ),
    ]


def one_run(home: Path | None = None) -> tuple[float, float]:
    """Return when the first picture stood and the first sound was heard, in seconds from the command."""
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "log"
        began = time.time()
        process = subprocess.Popen(
            [sys.executable, "-m", "caller", "run", "demo", "--log", str(log)],
            env=as_installed(home),
            stdout=subprocess.DEVNULL,
        )
        try:
            events: dict[str, dict[str, float]] = {}
            while "call" not in events:
                if process.poll() is not None:
                    raise SystemExit(f"the lesson ended by itself, with {process.returncode}")
                time.sleep(0.05)
                lines = log.read_text(encoding="utf-8").splitlines() if log.exists() else []
                events = {event["event"]: event for event in reversed([json.loads(line) for line in lines])}
        finally:
            process.kill()
            process.wait()
    call = events["call"]  # it is noted with the first picture after it began to sound
    sounded = call["at"] - (call["heard_s"] - call["stream_s"])
    return events["first picture"]["at"] - began, sounded - began


if __name__ == "__main__":
    print(table(measure()))

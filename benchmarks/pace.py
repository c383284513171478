"""How near each line is spoken to the pace that is asked for, engine by engine, and what that does
to the length of a lesson.

Run `python -m benchmarks.pace [LESSON...] [--engines NAME...]`; engines of an extra that is not installed are
left out. What is asked of a line is how long it is to take by its letters, words and stops at so many words a
minute; what it takes is heard, without the silences that the hall adds. An engine speaks its own dialect, so
that a lesson's length is told against that of a voice that does just what it is asked, and leaves no gaps.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from benchmarks.figures import Figure, table
from benchmarks.usage import voice_by
from caller.lesson.library import find_lesson, read_lesson
from caller.planning.staging import stage_of
from caller.runsheet import RunSheet
from caller.sound.mixing import Clip
from caller.sound.speech import VoiceSettings, estimate_s, not_spoken
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline import seconds_of
from caller.timeline.segment import Timeline, voice_settings

LESSONS = ("demo", "quarters", "later")
ENGINES = {
    "plain": ("en-GB", "bundled"),
    "small neural": ("en-US", "neural"),
    "large neural": ("en-GB", "large"),
}
NEAR = 0.10


class AsAskedVoice:
    """Says nothing, as long as it is asked to."""

    def clip(self, text: str, settings: VoiceSettings) -> Clip:
        return not_spoken(text, settings, "")

    def speak_ahead(self, requests: Iterable[tuple[str, VoiceSettings]]) -> None:
        pass


def paces(run_sheet: RunSheet, voice: VoiceBox) -> list[float]:
    """Return, of each different line, what it takes against what it is to take; nan where it was not said."""
    lines = {line.speech: line for call in run_sheet.calls for line in call.lines if line.speech}
    settings = {speech: voice_settings(run_sheet, line) for speech, line in lines.items()}
    found = []
    for speech in lines:
        clip = voice.clip(speech, settings[speech])
        asked_s = estimate_s(speech, settings[speech].rate_wpm)
        found.append(math.nan if clip.missing else clip.duration_s / asked_s)
    return found


def sheet_of(name: str, tongue: str) -> RunSheet:
    path = find_lesson(name)
    lesson = replace(read_lesson(path), language=tongue, second_language=None)
    return stage_of(lesson.hall, path.parent, lesson.class_name).run_sheet(lesson)


def measure(lessons: Sequence[str], engines: Sequence[str] = tuple(ENGINES)) -> list[Figure]:
    figures: list[Figure] = []
    lasts: dict[str, list[float]] = {name: [] for name in lessons}
    for engine in engines:
        tongue, kind = ENGINES[engine]
        found: list[float] = []
        with voice_by(kind) as voice:
            for name in lessons:
                run_sheet = sheet_of(name, tongue)
                spoken = paces(run_sheet, voice)
                if np.isnan(spoken).all():
                    break  # it is not installed
                found += spoken
                whole, asked = (
                    seconds_of(Timeline(run_sheet, voice=each, tones=load_tones()).starts()[-1])
                    for each in (voice, AsAskedVoice())
                )
                lasts[name].append(whole / asked)
                what = f"{engine}, {tongue}: “{name}” against its length as asked"
                figures.append(Figure(what=what, value=whole / asked, unit="", beside=f"{whole:.1f} s"))
        if found:
            figures += _of_lines(f"{engine}, {tongue}", np.array(found))
    for name, lengths in lasts.items():
        if len(lengths) > 1:
            apart = 100 * (max(lengths) / min(lengths) - 1)
            what = f"“{name}” on {len(lengths)} engines: longest over shortest"
            figures.append(Figure(what=what, value=apart, unit="%", beside="2 %"))
    return figures


def _of_lines(name: str, found: np.ndarray) -> list[Figure]:
    missing = int(np.isnan(found).sum())
    found = found[~np.isnan(found)]
    off = np.abs(1.0 / found - 1.0)
    return [
        Figure(what=f"{name}: lines", value=found.size, unit="", beside=f"{missing} not said in time"),
        Figure(what=f"{name}: pace, median", value=float(np.median(1.0 / found)), unit="", beside="1"),
        Figure(what=f"{name}: furthest from it", value=100 * float(off.max()), unit="%", beside="10 %"),
        Figure(
            what=f"{name}: lines more than 10 % from it", value=float((off > NEAR).sum()), unit="", beside="0"
        ),
    ]


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("lessons", nargs="*", default=LESSONS)
    parser.add_argument("--engines", nargs="+", choices=ENGINES, default=list(ENGINES), metavar="NAME")
    arguments = parser.parse_args()
    print(table(measure(arguments.lessons, arguments.engines)))

"""How near the spoken pace of every line is to the pace that the hall's page promises, in the default voice.

Run `python -m benchmarks.pace [LESSON...]`. The promise of a line is how long it is to take by its letters,
words and stops at so many words a minute; what it takes is heard, without the silences that the hall adds.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence

import numpy as np

from benchmarks.figures import Figure, table
from caller.lesson.library import find_lesson, read_lesson
from caller.planning.staging import stage_of
from caller.runsheet import RunSheet
from caller.sound.speech import estimate_s
from caller.sound.voice import VoiceBox
from caller.timeline.segment import voice_settings

LESSONS = ("demo", "quarters", "later")
NEAR = 0.10


def paces(run_sheet: RunSheet, voice: VoiceBox) -> list[float]:
    """Return, of each different line, what it takes against what it is to take."""
    lines = {line.speech: line for call in run_sheet.calls for line in call.lines if line.speech}
    settings = {speech: voice_settings(run_sheet, line) for speech, line in lines.items()}
    voice.speak_ahead((speech, settings[speech]) for speech in lines)
    found = []
    for speech in lines:
        clip = voice.clip(speech, settings[speech])
        if not clip.missing:
            found.append(clip.duration_s / estimate_s(speech, settings[speech].rate_wpm))
    return found


def measure(lessons: Sequence[str]) -> list[Figure]:
    found = np.array([], float)
    with VoiceBox() as voice:
        for name in lessons:
            path = find_lesson(name)
            lesson = read_lesson(path)
            run_sheet = stage_of(lesson.hall, path.parent, lesson.class_name).run_sheet(lesson)
            found = np.append(found, paces(run_sheet, voice))
    off = np.abs(1.0 / found - 1.0)
    return [
        Figure(what=f"lines of {', '.join(lessons)}", value=found.size, unit="lines"),
        Figure(
            what="their pace against the promise, median",
            value=float(np.median(1.0 / found)),
            unit="",
            beside="1",
        ),
        Figure(what="furthest from it", value=100 * float(off.max()), unit="%", beside="10 %"),
        Figure(what="more than 10 % from it", value=float((off > NEAR).sum()), unit="lines", beside="0"),
    ]


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("lessons", nargs="*", default=LESSONS)
    print(table(measure(parser.parse_args().lessons)))

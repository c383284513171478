"""The beat of the demo: where its drums are heard, how far it is under words, and how long nothing happens.

Run `python -m benchmarks.beat`; it needs neither display nor sound device. Onsets are read off the
mixed sound above 3.3 kHz, and held against beats reckoned from the tempo alone.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from benchmarks.figures import Figure, table
from caller.lesson.library import find_lesson, read_lesson
from caller.runsheet.sequence import make_run_sheet
from caller.sound import SAMPLE_RATE
from caller.sound.loudness import integrated_lufs, loudest_rms_db
from caller.sound.mixing import mix
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.picture import scene_at
from caller.timeline.segment import Segment, Timeline

_HIGH_HZ = 3_300.0
_AROUND = 720  # samples before and after a beat in which its drum is looked for
_STEP = SAMPLE_RATE // 10
_QUIET_DB = -55.0


def measure() -> list[Figure]:
    run_sheet = make_run_sheet(read_lesson(find_lesson("demo")))
    off_ms: list[float] = []
    under_db: list[float] = []
    alone: list[NDArray[np.float32]] = []
    nothing: list[bool] = []
    with VoiceBox() as voice:
        timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
        for call in run_sheet.calls:
            segment = timeline.segment(call)
            off_ms += _off_ms(segment)
            under_db += _under_words_db(segment)
            nothing += _nothing_happens(segment)
            if segment.beat:
                layout = segment.layout
                alone.append(mix(segment.beat, layout.move_start, layout.move_end - layout.move_start))
    return [
        Figure(
            what="drums off their beats, 99 in 100 within",
            value=float(np.percentile(off_ms, 99)),
            unit="ms",
            beside=f"2 ms asked for; {len(off_ms)} beats",
        ),
        Figure(
            what="the beat under words, at its loudest",
            value=max(under_db),
            unit="dB to the voice",
            beside="-20 dB asked for (WCAG 2.2, 1.4.7)",
        ),
        Figure(
            what="the beat while nobody speaks",
            value=integrated_lufs(np.concatenate(alone)),
            unit="LUFS",
            beside="-18 LUFS: the voice",
        ),
        Figure(
            what="the longest stretch with nothing heard and nothing moving",
            value=_longest(nothing) * _STEP / SAMPLE_RATE,
            unit="s",
            beside="20 s at most",
        ),
    ]


def _off_ms(segment: Segment) -> list[float]:
    """Return how far each drum that no word or tone covers is from its beat."""
    layout, beat = segment.layout, segment.call.beat
    if beat is None:
        return []
    heard = segment.render(0, segment.length).astype(np.float64)
    spectrum = np.fft.rfft(heard)
    spectrum[np.fft.rfftfreq(heard.size, 1 / SAMPLE_RATE) < _HIGH_HZ] = 0.0
    energy = np.convolve(np.abs(np.fft.irfft(spectrum, heard.size)), np.ones(24) / 24, "same")
    found = []
    period = 60.0 * SAMPLE_RATE / beat.bpm
    for number in range(1, int((layout.move_end - layout.move_start) / period) - 1):
        due = layout.move_start + number * period
        first = round(due) - _AROUND
        if any(each.start < due + _AROUND and first < each.stop for each in segment.unaccompanied):
            continue
        around = energy[first : first + 2 * _AROUND]
        found.append(float(np.flatnonzero(around > 0.3 * around.max())[0]) - _AROUND - (due - round(due)))
    return [1000.0 * abs(each) / SAMPLE_RATE for each in found]


def _under_words_db(segment: Segment) -> list[float]:
    """Return the loudest 200 ms of the beat under each stretch of speech, against that speech."""
    found = [-120.0]
    for event, placed in zip(segment.layout.events, segment.unaccompanied, strict=True):
        if event.kind == "speech":
            beat = mix(segment.beat, placed.start, placed.stop - placed.start)
            found.append(loudest_rms_db(beat) - loudest_rms_db(placed.clip.samples))
    return found


def _nothing_happens(segment: Segment) -> list[bool]:
    """Tell for each tenth of a second whether it is silent while every picture in it is the same."""
    told = []
    for start in range(0, segment.length - _STEP + 1, _STEP):
        silent = loudest_rms_db(segment.render(start, _STEP)) < _QUIET_DB
        told.append(silent and scene_at(segment.layout, start) == scene_at(segment.layout, start + _STEP - 1))
    return told


def _longest(nothing: list[bool]) -> int:
    longest = run = 0
    for each in nothing:
        run = run + 1 if each else 0
        longest = max(longest, run)
    return longest


if __name__ == "__main__":
    print(table(measure()))

"""The neural voices of the extra beside the plain one, on one lesson in American and in British English.

Run `python -m benchmarks.voices`; it needs `pip install "hall-caller[voice,test]"`. Nobody listened:
length, loudness, processor time, and what a recogniser with an American ear understands of clean speech.
"""

from __future__ import annotations

import re
import resource
import tempfile
import time
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from pocketsphinx import Decoder
from scipy.signal import resample_poly

from benchmarks.figures import Figure, table
from benchmarks.intelligibility import CONFUSABLE, HISS, Recogniser
from benchmarks.usage import ENGINE_DEADLINE_S, voice_by
from caller.clock import ClockTime
from caller.languages import language
from caller.lesson.library import find_lesson, read_lesson
from caller.planning.staging import stage_of
from caller.runsheet import RunSheet
from caller.sound import SAMPLE_RATE
from caller.sound.kept_voice import ClipCache
from caller.sound.loudness import integrated_lufs
from caller.sound.speech import Speech, VoiceSettings, estimate_s
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.sound.voice_process import VoiceProcess
from caller.timeline.segment import Timeline

LESSON = "quarters"
_FIRST = "Half past four."
VOICES = {
    "American, plain": ("en-US", "bundled"),
    "American, neural": ("en-US", "neural"),
    "British, plain": ("en-GB", "bundled"),
    "British, neural": ("en-GB", "large"),
}


def measure() -> list[Figure]:
    path = find_lesson(LESSON)
    lesson = read_lesson(path)
    stage = stage_of(lesson.hall, path.parent)
    figures: list[Figure] = []
    lasted: dict[str, float] = {}
    cost: dict[str, float] = {}
    for name, (tongue, engine) in VOICES.items():
        run_sheet = stage.run_sheet(replace(lesson, language=tongue, second_language=None))
        lines = (line.speech for call in run_sheet.calls for line in call.lines if line.speech)
        texts, rate_wpm = list(dict.fromkeys(lines)), run_sheet.voice.rate_wpm
        before = _children_s()
        clips, heard, of = _spoken(engine, tongue, texts, rate_wpm)
        seconds = sum(clip.duration_s for clip in clips)
        lasted[name] = seconds
        off = [clip.duration_s / estimate_s(text, rate_wpm) for clip, text in zip(clips, texts, strict=True)]
        loud = [integrated_lufs(clip.samples) for clip in clips]
        figures += [
            Figure(what=f"{name}: {len(texts)} lines at {rate_wpm} words a minute", value=seconds, unit="s"),
            Figure(what=f"{name}: shortest line", value=min(off), unit="of what is asked"),
            Figure(what=f"{name}: longest line", value=max(off), unit="of what is asked"),
            Figure(what=f"{name}: quietest line", value=min(loud), unit="LUFS", beside="-18 LUFS"),
            Figure(what=f"{name}: loudest line", value=max(loud), unit="LUFS", beside="-18 LUFS"),
            Figure(
                what=f"{name}: times heard", value=heard, unit="", beside=f"of {of}, minutes that sound alike"
            ),
            Figure(what=f"{name}: processor time, started and said", value=_children_s() - before, unit="s"),
        ]
        late_ms = 1000.0 * word_lateness_s(zip(texts, clips, strict=True))
        low, median, high = np.percentile(late_ms, (10, 50, 90))
        figures += [
            Figure(what=f"{name}: words told late (early is less than nought)", value=float(at), unit=unit)
            for at, unit in ((median, "ms, median"), (low, "ms, 10 %"), (high, "ms, 90 %"))
        ]
        began_s = time.monotonic()
        worker = VoiceProcess(tongue, engines=(engine,))
        try:
            worker.greet(deadline_s=ENGINE_DEADLINE_S)
            worker.speak(
                _FIRST, VoiceSettings(language=tongue, rate_wpm=rate_wpm), deadline_s=ENGINE_DEADLINE_S
            )
            cold_s = time.monotonic() - began_s
        finally:
            worker.end()
        figures.append(Figure(what=f"{name}: cold, until the first line is said", value=cold_s, unit="s"))
        cost[name] = lesson_cpu_s(run_sheet, engine)
        figures.append(
            Figure(what=f"{name}: processor time, the lesson's whole sound", value=cost[name], unit="s")
        )
    for people in ("American", "British"):
        dearer = cost[f"{people}, neural"] / cost[f"{people}, plain"]
        what = f"{people}: the lesson's whole sound, neural against plain"
        figures.append(Figure(what=what, value=dearer, unit="of its processor time"))
        longer = lasted[f"{people}, neural"] / lasted[f"{people}, plain"]
        figures.append(Figure(what=f"{people}: neural against plain", value=longer, unit="of its length"))
    return figures


def lesson_cpu_s(run_sheet: RunSheet, engine: str) -> float:
    """Return the processor time of speaking and mixing a whole lesson that nothing is kept of, in seconds."""
    before_s = time.process_time() + _children_s()
    with voice_by(engine) as box:
        timeline = Timeline(run_sheet, voice=box, tones=load_tones())
        timeline.speak_ahead()
        for call in run_sheet.calls:
            segment = timeline.segment(call)
            segment.render(0, segment.length)
    return time.process_time() + _children_s() - before_s


def _spoken(engine: str, tongue: str, texts: list[str], rate_wpm: int) -> tuple[list[Speech], int, int]:
    """Return the clips of a lesson, and how many times the recogniser understood, of how many."""
    settings = VoiceSettings(language=tongue, rate_wpm=rate_wpm)
    recogniser = Recogniser(apart=False)
    words = language(tongue)
    times = [ClockTime(hour, minute) for hour in (1, 4, 7, 10) for minute in CONFUSABLE[:6]]
    with (
        tempfile.TemporaryDirectory() as folder,
        VoiceBox(ClipCache(Path(folder)), engines=(engine,), first_deadline_s=60, deadline_s=60) as box,
    ):
        clips = [_said(box, text, settings) for text in texts]
        heard = sum(
            recogniser.hear(
                _said(box, f"It is {words.digital(time).speech}", settings).samples.astype(np.float64)
            )
            == time.minute
            for time in times
        )
    return clips, heard, len(times)


def word_lateness_s(spoken: Iterable[tuple[str, Speech]]) -> NDArray[np.float64]:
    """Return how late each word but the first is told, in seconds, by a recogniser's forced alignment.

    Lines with numerals, or with words that the recogniser's dictionary does not hold, are left out.
    """
    decoder = Decoder(samprate=16_000, loglevel="FATAL", bestpath=False)
    late: list[float] = []
    for text, clip in spoken:
        told = [text[w.char_start : w.char_start + w.char_len].lower() for w in clip.words or ()]
        if not told or any(decoder.lookup_word(word) is None for word in told):
            continue
        sound = resample_poly(clip.samples.astype(np.float64), 16_000, SAMPLE_RATE)
        sound = np.pad(0.5 * sound / np.abs(sound).max(), 4_000)
        sound += HISS * np.random.default_rng(0).standard_normal(sound.size)
        decoder.set_align_text(" ".join(told))
        decoder.start_utt()
        decoder.process_raw((sound * 32_767).astype("<i2").tobytes(), full_utt=True)
        decoder.end_utt()
        # A word's second way to be said is written as "the(2)"; frames are a hundredth of a second.
        found = [
            (re.sub(r"\(\d+\)$", "", each.word), each.start_frame / 100 - 0.25)
            for each in decoder.seg() or ()
            if each.word[0].isalpha()
        ]
        if [word for word, _ in found] == told:
            both = zip(clip.words or (), found, strict=True)
            late += [word.offset_s - at_s for word, (_, at_s) in both][1:]
    return np.array(late)


def _said(box: VoiceBox, text: str, settings: VoiceSettings) -> Speech:
    clip = box.clip(text, settings)
    if clip.missing:
        raise SystemExit(f"“{text}” was not said: {clip.why}.")
    return clip


def _children_s() -> float:
    """Return the processor time of all workers that have ended, in seconds."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


if __name__ == "__main__":
    print(table(measure()))

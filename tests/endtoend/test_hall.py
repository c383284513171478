"""A short lesson through the real speaker path into a null sink, and what the sink played."""

from __future__ import annotations

import json
import os
import re
import subprocess
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import fftconvolve

from caller.lesson.reading import read_lesson
from caller.runsheet.model import RunSheet
from caller.runsheet.sequence import make_run_sheet
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.segment import Segment, Timeline
from tests.endtoend.conftest import RATE, Screen, SoundServer, caller_command, read_raw

pytestmark = pytest.mark.endtoend

LESSON = """
title = "Two clocks"
class = "Terns"
step = "quarters"
seed = 3
think_seconds = 8
catch_up = { kind = "none" }
[opening]
safety = false
warm_up_seconds = 0
[worked_example]
skip = true
[practice]
skip = true
[voice]
rate_wpm = 130
[[round]]
time = "9:30"
wrong = "10:30"
[[round]]
time = "2:15"
wrong = "3:10"
"""


@dataclass(frozen=True)
class Played:
    run_sheet: RunSheet
    segments: Sequence[Segment]
    starts: Sequence[int]
    recording: NDArray[np.float32]


@pytest.fixture(scope="module")
def played(
    sound_server: SoundServer, screen: Screen, tmp_path_factory: pytest.TempPathFactory
) -> Played:
    """Run the lesson once with the real program, while the sink's monitor is recorded."""
    folder = tmp_path_factory.mktemp("hall")
    script = folder / "two-clocks.toml"
    script.write_text(LESSON, encoding="utf-8")
    environment = (
        dict(os.environ) | sound_server.environment | screen.environment | {"XDG_CACHE_HOME": str(folder)}
    )
    subprocess.run(caller_command("show", str(script)), env=environment, check=True, capture_output=True)
    with sound_server.recording(folder / "hall.raw"):
        subprocess.run(caller_command("run", str(script), "--window"), env=environment, check=True, timeout=240)
    run_sheet = make_run_sheet(read_lesson(script))
    os.environ["XDG_CACHE_HOME"], before = str(folder), os.environ.get("XDG_CACHE_HOME")
    try:
        with VoiceBox() as voice:
            timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
            segments = [timeline.segment(call) for call in run_sheet.calls]
    finally:
        os.environ.pop("XDG_CACHE_HOME") if before is None else os.environ.update(XDG_CACHE_HOME=before)
    starts = np.concatenate([[0], np.cumsum([segment.length for segment in segments])])
    return Played(run_sheet, segments, [int(start) for start in starts], read_raw(folder / "hall.raw"))


def test_every_beep_is_within_two_milliseconds_of_the_timeline(played: Played) -> None:
    """A matched filter finds the beeps; one common offset (starting the recorder) is taken out."""
    expected = np.array(
        [
            start + event.start
            for start, segment in zip(played.starts, played.segments, strict=False)
            for event in segment.layout.events
            if event.tone == "beep"
        ]
    )
    assert len(expected) == 10
    found = onsets_of(load_tones()["beep"].samples, played.recording)
    assert len(found) == len(expected)
    deviation_ms = (found - expected - np.median(found - expected)) / RATE * 1000
    assert np.percentile(np.abs(deviation_ms), 99) <= 2.0


def test_the_hall_hears_the_timeline_sample_for_sample(played: Played) -> None:
    """The recording of the whole lesson is the timeline itself: nothing dropped, doubled or late."""
    written = np.concatenate([segment.render(0, segment.length) for segment in played.segments])
    beep = load_tones()["beep"].samples
    offset = int(onsets_of(beep, played.recording)[0] - onsets_of(beep, written)[0])
    heard = played.recording[offset : offset + len(written)]
    assert np.corrcoef(heard, written)[0, 1] > 0.999


def test_a_recogniser_hears_the_choices_in_order(played: Played) -> None:
    """pocketsphinx with a grammar of times, on what the sink played."""
    spoken = []
    beep = load_tones()["beep"].samples
    written = np.concatenate([segment.render(0, segment.length) for segment in played.segments])
    offset = int(onsets_of(beep, played.recording)[0] - onsets_of(beep, written)[0])
    for start, segment in zip(played.starts, played.segments, strict=False):
        if segment.call.kind != "choices":
            continue
        for span in segment.layout.spans:
            if span.line.point_to is not None:
                first, last = offset + start + span.speech_start, offset + start + span.speech_end
                spoken.append((span.line.speech, played.recording[first:last]))
    assert len(spoken) == 8
    heard = [recognise(samples) for _, samples in spoken]
    assert heard == [time_words(words) for words, _ in spoken]


def onsets_of(tone: NDArray[np.float32], recording: NDArray[np.float32]) -> NDArray[np.int64]:
    """Return where `tone` begins in `recording`: peaks of the normalised cross-correlation above 0.98."""
    energy = fftconvolve(recording.astype(np.float64) ** 2, np.ones(len(tone)), "valid")
    match = fftconvolve(recording.astype(np.float64), tone[::-1].astype(np.float64), "valid")
    score = match / np.sqrt(np.maximum(energy, 1e-6) * float(np.sum(tone.astype(np.float64) ** 2)))
    onsets = []
    position = 0
    while position < len(score):
        if score[position] > 0.98:
            peak = position + int(np.argmax(score[position : position + RATE // 20]))
            onsets.append(peak)
            position = peak + RATE // 2
        else:
            position += 1
    return np.array(onsets)


MINUTES = "o'clock|fifteen|thirty|forty five|forty-five|ten|oh five|twenty|forty|fifty"


def time_words(sentence: str) -> str:
    """Return the time in a spoken choice: what stands between its side and its move."""
    found = re.search(r": (.*?)\. ", sentence)
    assert found is not None
    return found[1].lower().replace("-", " ")


def recognise(samples: NDArray[np.float32]) -> str:
    """Return the time that a recogniser hears, given a grammar of sides, times and moves."""
    pocketsphinx = pytest.importorskip("pocketsphinx")
    from scipy.signal import resample_poly

    hours = "one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"
    grammar = f"""#JSGF V1.0;
grammar choices;
public <choice> = [on the (left|right)] <time> [<move>+];
<time> = (half past | quarter past | quarter to | ten past | ten to | twenty past | twenty to) <hour>
       | <hour> (o'clock | fifteen | thirty | forty five | ten | fifty | twenty | forty);
<hour> = {hours};
<move> = do|star|jumps|jump|on|the|spot|lift|your|knees|march|jog|hop|squats|squat|step|to|side|arms|arm|circles|make|big|a|stand|leg|one|like|tree|tall|walk|kick|punch|reach|up|down|hug|yourself|give|heel|toe|and|touch|stretch|slow|breaths|take|shake|shoulders|roll;
"""
    decoder = pocketsphinx.Decoder(samprate=16_000, loglevel="FATAL")
    decoder.add_jsgf_string("choices", grammar)
    decoder.activate_search("choices")
    sound = resample_poly(samples.astype(np.float64), 1, 3)
    padded = np.concatenate([np.zeros(4_000), sound / np.abs(sound).max() * 0.5, np.zeros(4_000)])
    decoder.start_utt()
    decoder.process_raw((padded * 32_767).astype("<i2").tobytes(), full_utt=True)
    decoder.end_utt()
    hypothesis = decoder.hyp()
    if hypothesis is None:
        return ""
    found = re.search(
        rf"((?:half past|quarter past|quarter to|ten past|ten to|twenty past|twenty to) (?:{hours})"
        rf"|(?:{hours}) (?:o'clock|fifteen|thirty|forty five|ten|fifty|twenty|forty))",
        hypothesis.hypstr,
    )
    return found[1] if found else hypothesis.hypstr

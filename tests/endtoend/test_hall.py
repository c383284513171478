"""A lesson of four clocks through the real speaker path into a null sink, and what the sink played."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pocketsphinx
import pytest
from numpy.typing import NDArray
from scipy.signal import resample_poly

from caller.lesson.library import read_lesson
from caller.runsheet import RunSheet
from caller.runsheet.sequence import make_run_sheet
from caller.sound.speech import Speech, VoiceSettings, with_gaps
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.segment import Segment, Timeline
from tests.endtoend.conftest import (
    RATE,
    REAL_TIME,
    Screen,
    SoundServer,
    between,
    caller_command,
    onsets_of,
    read_raw,
)

pytestmark = [pytest.mark.endtoend, pytest.mark.timeout(600)]

LESSON = """
title = "Four clocks"
class = "Terns"
step = "quarters"
language = "en-US"
seed = 3
think_seconds = 12
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
[[round]]
time = "6:00"
wrong = "12:30"
[[round]]
time = "7:45"
wrong = "8:45"
"""


@dataclass(frozen=True)
class Played:
    run_sheet: RunSheet
    segments: Sequence[Segment]
    starts: Sequence[int]
    speech: Mapping[str, Speech]
    recording: NDArray[np.float32]


@pytest.fixture(scope="module")
def played(sound_server: SoundServer, screen: Screen, tmp_path_factory: pytest.TempPathFactory) -> Played:
    """Run the lesson once with the real program, while the sink's monitor is recorded."""
    folder = tmp_path_factory.mktemp("hall")
    script = folder / "four-clocks.toml"
    script.write_text(LESSON, encoding="utf-8")
    environment = (
        dict(os.environ) | sound_server.environment | screen.environment | {"XDG_CACHE_HOME": str(folder)}
    )
    subprocess.run(caller_command("show", str(script)), env=environment, check=True, capture_output=True)
    with sound_server.recording(folder / "hall.raw"):
        # As in a hall, where nothing else keeps the computer busy.
        command = [*REAL_TIME, *caller_command("run", str(script), "--window")]
        subprocess.run(command, env=environment, check=True, timeout=400)
    run_sheet = make_run_sheet(read_lesson(script))
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(folder))
        with VoiceBox() as voice:
            timeline = Timeline(run_sheet, voice=voice, tones=load_tones())
            segments = [timeline.segment(call) for call in run_sheet.calls]
            settings = VoiceSettings(language=run_sheet.language, rate_wpm=run_sheet.voice.rate_wpm)
            speech = {
                line.speech: with_gaps(
                    voice.clip(line.speech, settings), ((gap.at, gap.seconds) for gap in line.gaps)
                )
                for call in run_sheet.calls
                for line in call.lines
            }
    starts = np.concatenate([[0], np.cumsum([segment.length for segment in segments])])
    recording = read_raw(folder / "hall.raw")
    return Played(run_sheet, segments, [int(start) for start in starts], speech, recording)


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
    assert len(expected) >= 8
    found = onsets_of(load_tones()["beep"].samples, played.recording)
    assert len(found) == len(expected)
    deviation_ms = (found - expected - np.median(found - expected)) / RATE * 1000
    assert np.percentile(np.abs(deviation_ms), 99) <= 2.0


def test_every_beat_is_heard_within_two_milliseconds_of_the_sample_clock(played: Played) -> None:
    """The stick of each drum, by its energy above 3.3 kHz; one common offset is taken out, as above."""
    high = np.abs(between(3_300.0, 16_000.0, played.recording))
    energy = np.convolve(high, np.ones(24) / 24, "same")
    beep = load_tones()["beep"].samples
    written = np.concatenate([segment.render(0, segment.length) for segment in played.segments])
    offset = int(onsets_of(beep, played.recording)[0] - onsets_of(beep, written)[0])
    late = []
    for start, segment in zip(played.starts, played.segments, strict=False):
        layout, beat = segment.layout, segment.call.beat
        if beat is None:
            continue
        period = 60.0 * RATE / beat.bpm
        for number in range(int((layout.move_end - layout.move_start) / period) - 1):
            due = offset + start + layout.move_start + number * period
            around = energy[round(due) - 720 : round(due) + 720]
            late.append(np.flatnonzero(around > 0.3 * around.max())[0] - 720 - (due - round(due)))
    assert len(late) > 12
    late_ms = (np.array(late) - np.median(late)) / RATE * 1000
    assert np.percentile(np.abs(late_ms), 99) <= 2.0


def test_the_hall_hears_the_timeline_sample_for_sample(played: Played) -> None:
    """The recording of the whole lesson is the timeline itself: nothing dropped, doubled or late."""
    written = np.concatenate([segment.render(0, segment.length) for segment in played.segments])
    beep = load_tones()["beep"].samples
    offset = int(onsets_of(beep, played.recording)[0] - onsets_of(beep, written)[0])
    heard = played.recording[offset : offset + len(written)]
    assert np.corrcoef(heard, written)[0, 1] > 0.999


def test_a_recogniser_hears_the_times_of_the_choices_in_order(played: Played) -> None:
    """pocketsphinx with a grammar of times, on what the sink played, cut at the engine's own word times."""
    beep = load_tones()["beep"].samples
    written = np.concatenate([segment.render(0, segment.length) for segment in played.segments])
    offset = int(onsets_of(beep, played.recording)[0] - onsets_of(beep, written)[0])
    said, heard = [], []
    for start, segment in zip(played.starts, played.segments, strict=False):
        for event in segment.layout.events if segment.call.kind == "choices" else ():
            line = segment.call.lines[event.line]
            if event.kind == "speech" and line.point_to is not None:
                speech = played.speech[line.speech]
                time = re.search(r": (.*?)[.,] ", line.speech)
                assert time is not None
                first, last = (word_sample(speech, character) for character in time.span(1))
                at = offset + start + event.start
                said.append(time[1])
                heard.append(recognise(played.recording[at + first : at + last]))
    assert len(said) == 8
    assert heard == said


def word_sample(speech: Speech, character: int) -> int:
    """Return the sample at which the first word at or after `character` begins."""
    assert speech.words is not None
    offset_s = next(word.offset_s for word in speech.words if word.char_start >= character)
    return round(offset_s * RATE)


def recognise(samples: NDArray[np.float32]) -> str:
    """Return the time that a recogniser hears, given a grammar of times and a trace of hiss."""
    hours = "one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"
    grammar = f"""#JSGF V1.0;
        grammar times;
        public <time> = (quarter | five | ten | twenty | twenty five) (past | after | to) <hour>
            | half past <hour>
            | <hour> (o'clock | oh five | five | ten | fifteen | twenty | thirty | forty | fifty);
        <hour> = {hours};"""
    decoder = pocketsphinx.Decoder(samprate=16_000, loglevel="FATAL")
    decoder.add_jsgf_string("times", grammar)
    decoder.activate_search("times")
    sound = np.pad(resample_poly(samples.astype(np.float64), 1, 3), 4_000)
    hiss = np.random.default_rng(1).normal(0, 10 ** (-50 / 20), len(sound))
    loud = sound / np.abs(sound).max() * 0.5 + hiss
    decoder.start_utt()
    decoder.process_raw((loud * 32_767).astype("<i2").tobytes(), full_utt=True)
    decoder.end_utt()
    hypothesis = decoder.hyp()
    return "" if hypothesis is None else str(hypothesis.hypstr)

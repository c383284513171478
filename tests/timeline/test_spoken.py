from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
import pytest

from caller.clock.times import ClockTime
from caller.hall.adapt import Delivery, delivery_for
from caller.lesson.model import Lesson, Round
from caller.runsheet.model import Line, RunSheet
from caller.runsheet.sequence import make_run_sheet
from caller.runsheet.serial import as_json, from_dict
from caller.sound.levels import SAMPLE_RATE
from caller.sound.speech import Speech, VoiceSettings, Word
from caller.sound.tones import load_tones
from caller.timeline.segment import Timeline
from caller.timeline.spoken import tones_of

WORD_S = 0.3
HALL = delivery_for(mid_reverberation=2.0, sti=0.4, tone_over_voice_db=5.0)
DRY = replace(HALL, gap_before_hour_s=0.0, gap_before_minutes_s=0.0)
LESSON = Lesson(rounds=(Round(time=ClockTime(4, 40)),), step="fives-to", register="analogue")


class EvenVoice:
    """Says every word in the same time."""

    def clip(self, text: str, settings: VoiceSettings) -> Speech:  # noqa: ARG002 - the same at any rate
        starts = [i for i, letter in enumerate(text) if letter != " " and (i == 0 or text[i - 1] == " ")]
        words = tuple(
            Word(n * WORD_S, at, len(text[at:].split(maxsplit=1)[0])) for n, at in enumerate(starts)
        )
        samples = np.full(round(len(starts) * WORD_S * SAMPLE_RATE), 0.1, np.float32)
        return Speech(samples=samples, words=words)

    def speak_ahead(self, requests: Iterable[tuple[str, VoiceSettings]]) -> None:
        pass


def sheet(delivery: Delivery) -> RunSheet:
    return make_run_sheet(LESSON, delivery=delivery)


def lines(run_sheet: RunSheet) -> Sequence[Line]:
    return [line for call in run_sheet.calls for line in call.lines]


def test_a_spoken_time_has_a_gap_before_its_minutes_and_before_its_hour() -> None:
    said = next(line for line in lines(sheet(HALL)) if ": twenty to five" in line.speech.lower())
    assert [line_part(said, gap.at) for gap in said.gaps] == ["twenty", "five."]
    assert (
        [gap.seconds for gap in said.gaps]
        == [HALL.gap_before_minutes_s, HALL.gap_before_hour_s]
        == [0.5, 0.5]
    )


def line_part(line: Line, at: int) -> str:
    return line.speech[at:].split()[0]


def test_a_sentence_that_begins_with_the_minutes_has_its_pause_already() -> None:
    said = next(line for line in lines(sheet(HALL)) if line.speech == "Twenty to five.")
    assert [line_part(said, gap.at) for gap in said.gaps] == ["five."]


def test_every_gap_stands_before_a_word() -> None:
    for code in ("en-GB", "en-US", "es", "fr", "de"):
        for line in lines(make_run_sheet(replace(LESSON, language=code, register="both"), delivery=HALL)):
            assert all(line.speech[gap.at - 1] == " " for gap in line.gaps), line


def test_gaps_come_back_from_json() -> None:
    import json

    made = sheet(HALL)
    assert from_dict(json.loads(as_json(made))) == made
    assert as_json(made) == as_json(sheet(HALL))


def test_calls_are_longer_by_their_gaps_and_only_by_them() -> None:
    plain, gapped = sheet(DRY), sheet(HALL)
    tones = load_tones()
    before, after = (Timeline(each, voice=EvenVoice(), tones=tones) for each in (plain, gapped))
    for dry_call, wet_call in zip(plain.calls, gapped.calls, strict=True):
        added_s = sum(gap.seconds for line in wet_call.lines for gap in line.gaps)
        longer = after.segment(wet_call).length - before.segment(dry_call).length
        if not any(line.slot_s for line in wet_call.lines):
            assert longer == pytest.approx(added_s * SAMPLE_RATE, abs=2)


def test_the_hall_hears_silence_inside_the_sentence() -> None:
    timeline = Timeline(sheet(HALL), voice=EvenVoice(), tones=load_tones())
    call = next(call for call in timeline.run_sheet.calls if call.kind == "answer")
    segment = timeline.segment(call)
    span = next(span for span in segment.layout.spans if span.line.gaps)
    heard = segment.render(span.speech_start, span.speech_end - span.speech_start)
    silent = np.abs(heard) < 1e-6
    assert silent.sum() == pytest.approx(sum(gap.seconds for gap in span.line.gaps) * SAMPLE_RATE, abs=20)


def test_the_attention_tone_is_as_long_and_as_loud_as_the_hall_needs() -> None:
    tones = load_tones()
    needed = tones_of(sheet(replace(HALL, tone_length_s=0.6, tone_over_voice_db=4.0)), tones)
    own, adapted = tones["attention"], needed["attention"]
    assert adapted.duration_s == pytest.approx(0.6, abs=0.01)
    assert adapted.level_db - own.level_db == pytest.approx(4.0, abs=0.05)
    assert {name: tone for name, tone in needed.items() if name != "attention"} == {
        name: tone for name, tone in tones.items() if name != "attention"
    }


def test_a_teachers_own_attention_tone_keeps_its_length() -> None:
    tones = load_tones()
    own = replace(tones["attention"], samples=tones["beep"].samples)
    kept = tones_of(sheet(HALL), {**tones, "attention": own})["attention"]
    assert kept.samples.size == own.samples.size

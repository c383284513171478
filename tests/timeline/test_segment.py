from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.clock import ClockTime
from caller.hall.adapt import CUE_CEILING_DBA, Delivery, delivery, delivery_for
from caller.hall.bands import CLASS_SPECTRUM_DB, octave_bands, shaped_db
from caller.hall.floor import clarity, floor_map, last_row_points
from caller.hall.hallfile import preset, preset_names
from caller.lesson import Lesson, Round
from caller.runsheet import Line, RunSheet
from caller.runsheet.forms import as_json, from_dict
from caller.runsheet.sequence import make_run_sheet, voice_plan
from caller.sound import SAMPLE_RATE, TONE_CEILING_DBTP, VOICE_LUFS
from caller.sound.loudness import true_peak_db
from caller.sound.speech import Speech, VoiceSettings, Word
from caller.sound.tones import Tone, load_tones
from caller.timeline.segment import Timeline, short_db, tones_of

WORD_S = 0.3
HALL = delivery_for(mid_reverberation=2.0, sti=0.4)
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


def test_the_attention_tone_is_as_long_as_the_hall_needs() -> None:
    adapted = tones_of(sheet(replace(HALL, tone_length_s=0.6)), load_tones())["attention"]
    assert adapted.duration_s == pytest.approx(0.6, abs=0.01)


OCTAVES_HZ = np.array([125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0])
# What must be heard, and by how much in decibels: over a class that listens, and over one that moves.
MUST_BE_HEARD = {
    "attention": (10, 10),
    "time-up": (10, 10),
    "beep": (10, 10),
    "answer": (10, 3),
    "tick": (10, -99),
}


def best_octave_over_db(tone: Tone, masked_over_voice_db: NDArray[np.float64]) -> float:
    """Return by how much the best octave of a tone's loudest 200 ms is over a threshold (octave filters)."""
    filtered = octave_bands(np.concatenate([tone.samples, np.zeros(2_400)]).astype(float), SAMPLE_RATE)
    squares = np.cumsum(filtered**2, axis=1)
    width = min(9_600, tone.samples.size)
    levels = 10 * np.log10((squares[:, width:] - squares[:, :-width]).max(axis=1) / width + 1e-30)
    return float((levels - VOICE_LUFS - masked_over_voice_db).max())


@pytest.mark.parametrize("name", preset_names())
def test_in_every_ready_made_hall_what_must_be_heard_is_or_the_page_says_what_is_not(name: str) -> None:
    """ISO 7731: 10 dB over the masked threshold in one octave (from memory)."""
    hall = preset(name)
    heard = delivery(hall)
    tones = load_tones()
    fitted = tones_of(sheet(heard), tones)
    lacking = short_db(voice_plan(LESSON, heard), tones)
    working = shaped_db(CLASS_SPECTRUM_DB, hall.noise.working_dba)
    back = float(clarity(hall, last_row_points(hall))[0].min())
    threshold = np.array([max(working[k] - 7.5 * (n - k) for k in range(n + 1)) for n in range(7)]) - back
    for tone, (over_still, over_moving) in MUST_BE_HEARD.items():
        over_db = best_octave_over_db(fitted[tone], threshold)
        stillness = hall.noise.working_dba - hall.noise.listening_dba
        short = max(over_still - stillness, over_moving) - over_db
        # The page may be up to 2 dB more careful: it reads all octaves in one window, this each in its own.
        assert short <= 1.5 or -1.0 <= lacking[tone] - short <= 2.0, (tone, short, lacking)
        assert over_db + stillness >= 10 - 0.5, tone
        if over_moving > 0:
            assert over_db >= 2.5 or tone in lacking


@pytest.mark.parametrize("name", preset_names())
def test_no_cue_is_louder_at_the_nearest_child_than_is_safe_and_none_passes_the_ceiling(name: str) -> None:
    hall = preset(name)
    floor = floor_map(hall)
    front = float(floor.level_dba[floor.in_class].max())
    tones = load_tones()
    for tone, fitted in tones_of(sheet(delivery(hall)), tones).items():
        assert true_peak_db(fitted.samples) <= TONE_CEILING_DBTP + 0.05
        if tone in MUST_BE_HEARD and fitted.level_db > tones[tone].level_db + 0.1:
            assert front + fitted.level_db - VOICE_LUFS <= CUE_CEILING_DBA + 0.2


def test_a_teachers_own_attention_tone_keeps_its_length() -> None:
    tones = load_tones()
    own = replace(tones["attention"], samples=tones["beep"].samples)
    kept = tones_of(sheet(HALL), {**tones, "attention": own})["attention"]
    assert kept.samples.size == own.samples.size


def test_only_what_is_said_of_a_side_comes_from_it_and_only_from_two_loudspeakers() -> None:
    run_sheet, tones = sheet(replace(HALL, two_loudspeakers=True)), load_tones()
    assert from_dict(json.loads(as_json(run_sheet))).voice.two_loudspeakers
    wide, plain = (Timeline(each, voice=EvenVoice(), tones=tones) for each in (run_sheet, sheet(HALL)))
    sides = set()
    for call, same in zip(run_sheet.calls, plain.run_sheet.calls, strict=True):
        segment, alike = wide.segment(call), plain.segment(same)
        assert segment.wide
        assert not alike.wide
        assert {item.toward for item in alike.placed} == {0.0}
        for event, item in zip(segment.layout.events, segment.unaccompanied, strict=True):
            side = call.lines[event.line].point_to if event.kind == "speech" else None
            assert item.toward == {"left": 1.0, "right": -1.0}.get(side or "", 0.0)
            sides.add((call.kind, side))
        assert {item.toward for item in segment.beat} <= {0.0}
        np.testing.assert_array_equal(
            segment.render(0, segment.length), alike.render(0, alike.length), "the sum is what it was"
        )
        left, right = segment.render_wide(0, segment.length).T
        aside = {line.point_to for line in call.lines if line.speech} & {"left", "right"}
        assert np.array_equal(left, right) is not bool(aside)
    assert {("choices", "left"), ("choices", "right"), ("question", None)} <= sides


def test_the_middle_of_three_lanes_is_heard_from_the_middle() -> None:
    lesson = replace(LESSON, rounds=(Round(time=ClockTime(4, 40), choices=3),))
    run_sheet = make_run_sheet(lesson, delivery=replace(HALL, two_loudspeakers=True))
    call = next(call for call in run_sheet.calls if any(line.point_to == "middle" for line in call.lines))
    placed = Timeline(run_sheet, voice=EvenVoice(), tones=load_tones()).segment(call).unaccompanied
    assert [item.toward for item in placed][-3:] == [1.0, 0.0, -1.0]

"""Asking for claps: when, for whom, in which words, and what the figures do meanwhile."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from caller import paths
from caller.hall.claps import CLAP_S, CLAPS
from caller.languages import CODES
from caller.lesson import Lesson
from caller.lesson.library import read_lesson
from caller.runsheet import RunSheet
from caller.runsheet.counting import from_the_next_clock, windows, without_claps
from caller.runsheet.movement import figures_do
from caller.runsheet.sequence import make_run_sheet
from caller.timeline import lay_out, samples_of, seconds_of
from caller.timeline.picture import scene_at

DEMO = next(paths.packaged("lessons").rglob("demo.toml"))


@pytest.fixture(scope="module")
def lesson() -> Lesson:
    return replace(read_lesson(DEMO), count_by_ear=True)


@pytest.fixture(scope="module")
def sheet(lesson: Lesson) -> RunSheet:
    return make_run_sheet(lesson)


def test_nobody_is_asked_unless_the_script_says_so(sheet: RunSheet, lesson: Lesson) -> None:
    plain = make_run_sheet(replace(lesson, count_by_ear=False))
    assert not any(call.kind == "claps" for call in plain.calls)
    assert without_claps(plain) is plain
    assert without_claps(sheet) == plain


def test_everybody_claps_once_and_then_each_side_before_the_answer_is_out(sheet: RunSheet) -> None:
    first, *asked = [call for call in sheet.calls if call.kind == "claps"]
    assert [window.side for window in windows(first)] == [None]
    assert first.number < min(call.number for call in sheet.calls if call.round)
    assert [call.round for call in asked] == [
        facts.round for facts in sheet.rounds if facts.part != "practice"
    ]
    for call in asked:
        before, after = sheet.calls[call.number - 2], sheet.calls[call.number]
        assert (before.kind, after.kind) == ("time-up", "answer")
        assert call.board.answer is None
        assert [window.side for window in windows(call)] == [lane.side for lane in call.board.lanes]


def test_nothing_is_said_or_sounded_while_a_side_claps(sheet: RunSheet) -> None:
    for call in sheet.calls:
        for window in windows(call):
            claps = call.lines[window.line : window.line + CLAPS]
            assert [line.count for line in claps] == [1, 2, 3]
            assert all(line.slot_s == CLAP_S and not line.speech and line.tone is None for line in claps)
            quiet = call.lines[window.line + CLAPS]
            assert not quiet.speech
            assert quiet.tone is None
            assert quiet.pause_s >= 0.4
        assert call.kind != "claps" or call.beat is None


def test_the_figure_of_the_side_that_is_asked_claps_and_no_other(sheet: RunSheet) -> None:
    call = next(call for call in sheet.calls if call.kind == "claps" and call.round)
    layout = lay_out(call, speech_length=lambda _: samples_of(1.5), tone_length=lambda _: 2_000)
    for place, line in enumerate(call.lines):
        span = layout.spans[place]
        scene = scene_at(layout, (span.start + span.end) // 2)
        assert (scene.doing == "clap") == (line.count is not None) == (figures_do(call, place) == "clap")
        if line.count is not None:
            assert scene.point_to == line.point_to
            assert scene_at(layout, span.start).move_s == pytest.approx((line.count - 1) * CLAP_S)
    assert scene_at(layout, layout.length - 1).doing == "still"


@pytest.mark.parametrize("code", CODES)
def test_the_words_are_short_and_say_three(code: str, lesson: Lesson) -> None:
    said = {
        line.written
        for call in make_run_sheet(replace(lesson, language=code, class_name="Terns")).calls
        if call.kind == "claps"
        for line in call.lines
        if line.written
    }
    short = {words for words in said if len(words.split()) == 1}
    assert len(short) == 2  # left and right, once the class knows what is asked
    assert len(said - short) == 3  # everybody, and left and right in full
    for words in said - short:
        assert len(words.split()) <= 12
        assert re.search(r"\b(three|drei|tres|trois)", words)


def test_a_side_takes_three_seconds_on_one_beat_once_the_words_are_known(sheet: RunSheet) -> None:
    for call in [call for call in sheet.calls if call.kind == "claps"][2:]:
        layout = lay_out(call, speech_length=lambda _: samples_of(0.45), tone_length=lambda _: 2_000)
        assert seconds_of(layout.length) == pytest.approx(3.0 * len(call.board.lanes))
        starts = [seconds_of(span.start) for span in layout.spans]
        assert starts == pytest.approx([CLAP_S * beat for beat in range(len(starts))])


def test_from_any_place_on_the_clocks_to_come_are_counted_and_no_longer(lesson: Lesson) -> None:
    plain = make_run_sheet(replace(lesson, count_by_ear=False))
    last = plain.calls[-1].number
    here = next(place for place, call in enumerate(plain.calls) if (call.kind, call.round) == ("time-up", 2))
    found = from_the_next_clock(plain.calls, here, plain.language, number_from=last + 1)
    assert found is not None
    place, calls = found
    assert plain.calls[place].round == 3
    claps = [call for call in calls if call.kind == "claps"]
    assert calls[0] is claps[0]
    assert [call.round for call in claps] == [
        None,
        *(facts.round for facts in plain.rounds if facts.round > 2),
    ]
    assert [call.number for call in claps] == list(range(last + 1, last + 1 + len(claps)))
    assert claps[1].lines[0].written != claps[2].lines[0].written  # whole sentences the first time
    now = (*plain.calls[:place], *calls)
    assert from_the_next_clock(now, here, plain.language, number_from=0) == (place, plain.calls[place:])
    over = len(plain.calls) - 1
    assert from_the_next_clock(plain.calls, over, plain.language, number_from=last + 1) is None

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate
from typing import Any, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.export.captions import LINE_CHARS, SHORTEST_S, captions, in_lines, parts_of, reading_s
from caller.export.programme import Programme
from caller.lesson.library import find_lesson, read_lesson, ready_lessons
from caller.planning.staging import stage_of
from caller.runsheet import Board, Call, Countdown, Line
from caller.sound.speech import estimate_s
from caller.timeline import CallLayout, lay_out, samples_of
from tests.sampling import NIGHTLY

WORDS = st.lists(st.text("abcdefgh',.!?é12", min_size=1, max_size=12), min_size=1, max_size=40)


def laid_out(*lines: tuple[str, float, float]) -> CallLayout:
    """Lay out lines given as words, seconds of speech and seconds of pause."""
    call = Call(
        number=1,
        kind="reason",
        part="round",
        round=1,
        lines=tuple(Line(written=words, speech=words, pause_s=pause_s) for words, _, pause_s in lines),
        board=Board(layout="title"),
    )
    lengths = {words: samples_of(speech_s) for words, speech_s, _ in lines}
    return lay_out(call, speech_length=lambda line: lengths[line.speech], tone_length=lambda _: 0)


def cues_of(*lines: tuple[str, float, float]) -> list[tuple[float, float, tuple[str, ...]]]:
    layout = laid_out(*lines)
    return [(cue.start_s, cue.end_s, cue.lines) for cue in captions([layout], [0, layout.length])]


def test_a_caption_starts_with_its_words_and_stays_until_the_next_when_the_gap_would_flicker() -> None:
    assert cues_of(("Look at the clock.", 2.0, 0.5), ("What time is it?", 2.0, 3.0)) == [
        (0.0, 2.5, ("Look at the clock.",)),
        (2.5, 4.5, ("What time is it?",)),
    ]


def test_a_caption_stays_long_enough_to_read_half_a_second_a_word() -> None:
    spoken = ("The long hand points at eight.", 1.5, 6.0)
    assert cues_of(spoken, ("Go!", 1.0, 3.0))[0] == (0.0, 3.0, ("The long hand points at eight.",))


def test_a_word_that_would_go_too_soon_shares_the_screen_with_the_next_ones() -> None:
    assert cues_of(("Hello, Terns!", 1.0, 0.5), ("Today we read half past.", 2.0, 2.0)) == [
        (0.0, 3.5, ("Hello, Terns!", "Today we read half past.")),
    ]


def test_counted_numbers_stand_side_by_side() -> None:
    cues = cues_of(*[(str(n), 0.4, 0.6) for n in range(1, 5)])
    assert [lines for _, _, lines in cues] == [("1 2",), ("3 4",)]


def test_a_long_sentence_is_parted_at_its_clauses_in_the_time_its_letters_take() -> None:
    text = "The short hand is between four and five, so it is four; the long hand is on eight: it is forty."
    cues = cues_of((text, 10.0, 2.0))
    assert [" ".join(lines) for _, _, lines in cues] == [
        "The short hand is between four and five, so it is four;",
        "the long hand is on eight: it is forty.",
    ]
    assert cues[1][0] == cues[0][1]
    assert abs(cues[1][0] - 10.0 * 55 / 94) < 0.01


def test_two_lines_are_nearly_alike_and_break_after_a_comma_where_there_is_one() -> None:
    assert in_lines("Stand an arm's length from everybody.") == ("Stand an arm's length", "from everybody.")
    assert in_lines("Go to the left, and stretch up high") == ("Go to the left,", "and stretch up high")


@given(WORDS)
def test_parts_hold_every_word_in_order_and_fit_on_two_short_lines(words: list[str]) -> None:
    text = " ".join(words)
    parts = parts_of(text)
    assert " ".join(parts).split() == text.split()
    for part in parts:
        lines = in_lines(part)
        assert lines is not None
        assert len(lines) <= 2
        assert all(len(line) <= LINE_CHARS for line in lines)


@given(
    st.lists(
        st.tuples(WORDS.map(" ".join), st.floats(0.2, 8.0), st.floats(0.0, 3.0)), min_size=1, max_size=12
    )
)
def test_captions_never_overlap_and_only_the_next_one_cuts_reading_short(
    lines: list[tuple[str, float, float]],
) -> None:
    numbered = [
        (f"{number} {words}", speech_s, pause_s) for number, (words, speech_s, pause_s) in enumerate(lines)
    ]
    layout = laid_out(*numbered)
    cues = captions([layout], [0, layout.length])
    end_s = layout.length / 48_000
    for cue, following in zip(cues, [*cues[1:], None], strict=True):
        until_s = end_s if following is None else following.start_s
        assert cue.start_s <= cue.end_s <= until_s + 1e-9
        assert cue.end_s - cue.start_s >= min(reading_s(cue), until_s - cue.start_s) - 1e-9


def test_captions_of_a_lesson_stand_two_seconds_at_least(programme: Programme) -> None:
    cues = captions(programme.layouts, programme.starts)
    assert [" / ".join(cue.lines) for cue in cues] == [
        "Hello, Terns!",
        "Clock 1 of 1. / What time is it?",
        "Decide, and do your move. Go!",
        "Count in fives to eight: / forty minutes.",
        "It is four forty.",
    ]
    assert all(cue.end_s - cue.start_s >= SHORTEST_S for cue in cues)


def test_the_last_beeps_are_told_once_in_brackets_and_words_come_first() -> None:
    def made(number: int, *, lines: tuple[Line, ...], countdown: Countdown | None) -> CallLayout:
        call = Call(
            number=number,
            kind="move",
            part="round",
            round=1,
            lines=lines,
            countdown=countdown,
            board=Board(layout="title"),
        )
        return lay_out(call, speech_length=lambda _: samples_of(2.0), tone_length=lambda _: samples_of(0.1))

    up = Line(written="Time's up.", speech="Time's up.")
    layouts = [
        made(1, lines=(), countdown=Countdown(seconds=12)),
        made(2, lines=(up,), countdown=None),
    ]
    starts = [0, layouts[0].length, layouts[0].length + layouts[1].length]
    cues = captions(layouts, starts, language="fr")
    assert [cue.lines for cue in cues] == [("[bip]",), ("Time's up.",)]
    beeps = [event.start / 48_000 for event in layouts[0].events if event.tone == "beep"]
    assert len(beeps) > 1
    assert cues[0].start_s == beeps[0]
    assert cues[0].end_s >= beeps[-1]
    assert cues[0].end_s <= cues[1].start_s
    assert [cue.lines for cue in captions(layouts, starts)] == [("Time's up.",)]


def as_told(name: str, language: str) -> list[tuple[float, float, str]]:
    """Return the captions of a ready lesson, spoken as fast as its pace says: start, end and words."""
    path = find_lesson(name)
    lesson = replace(read_lesson(path), language=cast(Any, language), second_language=None)
    sheet = stage_of("", path.parent, "").run_sheet(lesson)
    layouts = [
        lay_out(
            call,
            speech_length=lambda line: samples_of(estimate_s(line.speech, sheet.voice.rate_wpm)),
            tone_length=lambda _: samples_of(0.5),
        )
        for call in sheet.calls
    ]
    starts = [0, *accumulate(layout.length for layout in layouts)]
    cues = captions(layouts, starts, language=language)
    return [(cue.start_s, cue.end_s, " ".join(cue.lines)) for cue in cues]


# In each of these a caption went by too fast once: one word alone, or a short sentence.
HURRIED = [("timetable", "en-GB"), ("how-late", "fr"), ("day-part", "de"), ("demo", "es")]
ALL = [(name, language) for name in ready_lessons() for language in ("en-GB", "fr", "de", "es")]


@pytest.mark.parametrize(("name", "language"), ALL if NIGHTLY else HURRIED)
def test_no_caption_is_gone_within_a_second_or_asks_for_180_words_a_minute(name: str, language: str) -> None:
    """The BBC's subtitle guidelines: 160 to 180 words a minute; one second at least is our own rule."""
    found = as_told(name, language)
    assert len(found) > 40
    for start_s, end_s, words in found:
        assert end_s - start_s >= 1.0 - 1e-6, words
        assert len(words.split()) <= 3.0 * (end_s - start_s) + 1e-6, words

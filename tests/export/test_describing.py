from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from caller.clock import ClockTime
from caller.export.describing import DescribedSound, describe, descriptions
from caller.export.programme import Programme
from caller.runsheet import Board, Countdown, Dial, Lane, RunSheet
from caller.sound.tones import load_tones
from caller.timeline import samples_of

from .conftest import HummingVoice, short_lesson


def clock(hour: int, minute: int) -> Board:
    return Board(layout="clock", dials=(Dial(time=ClockTime(hour, minute)),))


@pytest.mark.parametrize(
    ("board", "language", "words"),
    [
        (clock(4, 40), "en-GB", "The short hand is between 4 and 5; the long hand points at 8."),
        (clock(3, 0), "en-US", "The short hand points at 3; the long hand points at 12."),
        (clock(12, 31), "en-GB", "The short hand is between 12 and 1; the long hand is 1 small mark past 6."),
        (
            clock(9, 0),
            "de",
            "Der kurze Zeiger zeigt auf die 9; der lange Zeiger zeigt auf die 12.",
        ),
        (clock(7, 30), "fr", "La petite aiguille est entre le 7 et le 8 ; la grande aiguille est sur le 6."),
        (clock(1, 15), "es", "La aguja corta está entre el 1 y el 2; la aguja larga apunta al 3."),
        (Board(layout="title", title="Half past"), "en-GB", ""),
        (Board(layout="clock", dials=(Dial(time=None),)), "en-GB", ""),
    ],
)
def test_a_description_tells_where_the_hands_are_and_not_the_time(
    board: Board, language: str, words: str
) -> None:
    assert describe(board, language) == words


def test_clocks_to_choose_from_are_told_apart_by_their_places() -> None:
    three, nine = (
        Lane(side="left", numeral="", words="", move="march", move_name="march", dial=ClockTime(hour, 0))
        for hour in (3, 9)
    )
    lanes = (three, replace(nine, side="right"))
    assert describe(Board(layout="dials", lanes=lanes, asked="3:00"), "en-GB") == (
        "On the left: the short hand points at 3; the long hand points at 12. "
        "On the right: the short hand points at 9; the long hand points at 12."
    )


def with_time_to_think(seconds: int) -> RunSheet:
    sheet = short_lesson()
    calls = [
        replace(call, countdown=Countdown(seconds=seconds)) if call.countdown else call
        for call in sheet.calls
    ]
    return replace(sheet, calls=tuple(calls))


def test_a_clock_is_described_once_a_round_after_the_question_and_before_the_beeps(
    programme_of: Callable[[RunSheet], Programme],
) -> None:
    programme = programme_of(with_time_to_think(16))
    (told,) = descriptions(programme)
    layout, start = programme.layouts[2], programme.starts[2]
    assert told.start == start + layout.countdown_start + samples_of(0.5)
    assert told.start + told.room == start + layout.countdown_end - samples_of(5.5)


def test_a_description_is_spoken_where_it_fits_with_the_ticks_turned_down(
    programme_of: Callable[[RunSheet], Programme],
) -> None:
    programme = programme_of(with_time_to_think(16))
    described = DescribedSound(programme, HummingVoice())
    assert described.spoken == 1
    plain, spoken = np.concatenate(list(programme.blocks())), np.concatenate(list(described.blocks()))
    assert plain.size == spoken.size
    (told,) = descriptions(programme)
    clip = HummingVoice().clip(told.text, None).samples  # type: ignore[arg-type]
    during = slice(told.start, told.start + clip.size)
    # The last tick under it is turned down to its own end.
    touched = np.r_[during.start : during.stop + samples_of(0.2)]
    np.testing.assert_array_equal(np.delete(plain, touched), np.delete(spoken, touched))
    ticks = spoken[during] - clip
    turned_down = load_tones()["tick"].gain_under_speech
    assert np.abs(ticks).max() == pytest.approx(turned_down * np.abs(plain[during]).max(), rel=0.01)
    assert turned_down < 0.6


def test_a_description_that_does_not_fit_is_there_as_text(programme: Programme) -> None:
    described = DescribedSound(programme, HummingVoice())
    assert described.spoken == 0
    np.testing.assert_array_equal(
        np.concatenate(list(programme.blocks())), np.concatenate(list(described.blocks()))
    )
    assert " ".join(line for cue in described.cues for line in cue.lines) == (
        "The short hand is between 4 and 5; the long hand points at 8."
    )

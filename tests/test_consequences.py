"""What each tuned number is for, in figures of its own: another number there, and one of these fails.

Nothing here reads the number that it holds. The values asked for are our own choices, each with its reason,
unless a source is named.
"""

from __future__ import annotations

import numpy as np
import pytest

from caller.hall.adapt import delivery_for
from caller.lesson import Close
from caller.lesson.library import find_lesson, read_lesson
from caller.live.keeping import TallyTaker
from caller.moves import catalogue
from caller.moves.dose import CALM_S
from caller.moves.uses import bout_limits, calm, lively
from caller.runsheet import Board, Lane, RunSheet
from caller.runsheet.making_room import make_room
from caller.runsheet.sequence import make_run_sheet
from caller.screen.layout import places
from tests.live.conftest import make_call
from tests.runsheet.test_making_room import lasts, rest_of_lesson


@pytest.fixture(scope="module")
def demo() -> RunSheet:
    return make_run_sheet(read_lesson(find_lesson("demo")))


def test_every_clock_leaves_still_seconds_to_decide(demo: RunSheet) -> None:
    """Teachers who wait three seconds and more get better answers (Rowe 1986, J Teach Educ 37:43)."""
    counts = [call.countdown.seconds for call in demo.calls if call.kind == "decide" and call.countdown]
    assert len(counts) == len(demo.rounds)
    assert all(3 <= seconds <= 5 for seconds in counts)


@pytest.mark.parametrize(("apart_s", "missed"), [(1.2, 14), (2.5, 4)])
def test_two_digits_typed_without_haste_are_one_number_and_a_corrected_one_is_not(
    apart_s: float, missed: int
) -> None:
    taker = TallyTaker()
    taker.hear(make_call(1, 0.1, kind="answer", in_round=1))
    taker.digit(1, 10.0)
    told = taker.digit(4, 10.0 + apart_s)
    assert told is not None
    assert told.tally.missed == missed


@pytest.mark.parametrize("reverberation_s", [0.8, 1.2, 2.0])
def test_the_echo_of_a_word_has_fallen_15_db_before_the_next_that_matters(reverberation_s: float) -> None:
    """A decay is a straight line: 60 dB in the reverberation time."""
    gap_s = delivery_for(mid_reverberation=reverberation_s, sti=0.5).gap_before_minutes_s
    assert 60.0 * gap_s / reverberation_s == pytest.approx(15.0, abs=0.4)


def test_what_is_saved_beyond_need_goes_to_the_rests_first_four_seconds_each() -> None:
    rest = rest_of_lesson([20, 20, 20, 20], [0, 0, 0, 0])
    longest = 0.0
    for needed_s in np.arange(30.0, 90.0, 1.0):
        fitted = make_room(rest, [lasts(each) for each in rest], float(needed_s))
        if fitted is not None:
            longest = max(longest, *(call.hold_s - 2.0 for call in fitted if call.kind == "breath"))
    assert longest == pytest.approx(4.0)


def test_no_think_time_loses_more_than_two_fifths() -> None:
    rest = rest_of_lesson([30, 30, 30], [0, 0, 0])
    shortest = 30
    for needed_s in range(60):
        fitted = make_room(rest, [lasts(each) for each in rest], float(needed_s))
        for call in fitted or ():
            if call.countdown is not None:
                shortest = min(shortest, call.countdown.seconds)
    assert shortest == 18


def test_calm_and_lively_are_what_their_names_say() -> None:
    """WHO 2020 and the youth compendium: up to 2 MET a child hardly does more than sit (from memory)."""
    moves = catalogue().values()
    assert {move.kind for move in moves if calm(move, 7.0)} == {"balance", "stretch", "seated"}
    seated = [move for move in moves if move.kind == "seated"]
    assert all(move.effort.met(7.0) <= 2.0 for move in seated if calm(move, 7.0))
    assert sum(lively(move, 7.0) for move in seated) >= 4, "a seated class has work to choose from"
    assert not any(calm(move, 7.0) and lively(move, 7.0) for move in moves)


def test_the_breaths_of_a_lesson_settle_it() -> None:
    """Half a minute or so of slow breathing lets heart and breath settle (Van Hooren and Peake 2018)."""
    assert 25.0 <= CALM_S <= 60.0
    assert Close().breaths * 7.0 >= CALM_S


def test_moves_last_as_long_as_suits_the_age() -> None:
    """Moderate 20 to 30 s; vigorous 10 to 15 s under eight and 15 to 30 s from eight (Baquet et al. 2019)."""
    march, jog, tree = (catalogue()[slug] for slug in ("march", "jog-on-the-spot", "tree"))
    assert 20 <= bout_limits(march, 7.0).usual_s <= bout_limits(march, 7.0).most_s <= 30
    assert 10 <= bout_limits(jog, 7.0).usual_s <= bout_limits(jog, 7.0).most_s <= 15
    assert 15 <= bout_limits(jog, 9.0).usual_s <= bout_limits(jog, 9.0).most_s <= 30
    assert [bout_limits(tree, age_y).most_s for age_y in (5.0, 6.5, 9.0)] == [5, 10, 15]


def lanes_of(demo: RunSheet) -> Board:
    return next(call.board for call in demo.calls if call.kind == "choices" and len(call.board.lanes) == 2)


@pytest.mark.parametrize(
    ("width", "height", "beside"), [(1280, 720, True), (1000, 1000, True), (800, 1280, False)]
)
def test_choices_stand_beside_the_dial_as_long_as_there_is_room_and_under_it_on_a_tall_window(
    demo: RunSheet, width: int, height: int, beside: bool
) -> None:
    board = lanes_of(demo)
    assert all(isinstance(lane, Lane) for lane in board.lanes)
    assert places(board, width, height).stacked is not beside

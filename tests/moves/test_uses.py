"""Gentle, calm and lively have one meaning, and every move has a use. The catch-up is a real bout for all,
and never heavier for a wrong answer.
"""

from __future__ import annotations

import inspect

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.moves import Move, catalogue, find, uses
from caller.moves.uses import (
    CATCH_UP_KINDS,
    DEFAULT_KIND,
    LEAST_S,
    MOST_S,
    CatchUpChosen,
    CatchUpKind,
    calm,
    catch_up,
    gentle,
    lively,
)

MOVES = tuple(catalogue().values())


@pytest.mark.parametrize("move", MOVES, ids=lambda move: move.slug)
@pytest.mark.parametrize("age_y", [5.5, 7.0, 10.5])
def test_no_move_is_calm_and_lively(move: Move, age_y: float) -> None:
    assert not (calm(move, age_y) and lively(move, age_y))


def test_jumps_are_lively_and_neither_gentle_nor_calm() -> None:
    jumping = [move for move in MOVES if move.jumps]
    assert jumping
    for move in jumping:
        assert lively(move, 7.0)
        assert not gentle(move)
        assert not calm(move, 7.0)


def test_balances_and_stretches_are_calm_and_easy_seated_moves_too() -> None:
    assert calm(find("tree"), 7.0)
    assert calm(find("forward-fold"), 7.0)
    assert calm(find("seated-sky-reach"), 7.0)
    assert lively(find("seated-march"), 7.0)  # all that a seated class has of lively moves


MARCH = find("march")
STANDING = [move for move in MOVES if move.kind != "seated"]
AGES_Y = st.floats(4.0, 12.0)


@given(st.sampled_from(CATCH_UP_KINDS), st.sampled_from(MOVES), AGES_Y, st.integers(-5, 1000))
def test_a_catch_up_never_passes_its_cap(kind: CatchUpKind, move: Move, age_y: float, seconds: int) -> None:
    after = catch_up(kind, move, easy=MARCH, age_y=age_y, seconds=seconds)
    assert 0 <= after.seconds <= MOST_S


@given(st.sampled_from(MOVES), AGES_Y)
def test_everyone_does_a_bout_that_counts_unless_it_is_a_hold(move: Move, age_y: float) -> None:
    after = catch_up("everyone", move, easy=MARCH, age_y=age_y)
    assert after.move is not None
    assert after.move.hold or after.seconds >= LEAST_S


def test_nobody_who_asks_for_a_catch_up_can_say_who_was_right() -> None:
    """A wrong answer cannot be longer or harder, because the answer is not among what is asked."""
    asked = set(inspect.signature(catch_up).parameters) | set(CatchUpChosen.__dataclass_fields__)
    assert not {"correct", "wrong", "right", "answer"} & asked


@pytest.mark.parametrize("kind", CATCH_UP_KINDS)
@pytest.mark.parametrize(
    "move", [move for move in MOVES if move.kind != "seated"], ids=lambda move: move.slug
)
def test_no_kind_is_harder_than_the_move_of_the_answer(move: Move, kind: CatchUpKind) -> None:
    after = catch_up(kind, move, easy=MARCH, age_y=7.0)
    if after.move:
        assert after.move.effort.met_6_9 <= move.effort.met_6_9


def test_the_default_is_everyone_with_the_move_of_the_answer() -> None:
    assert DEFAULT_KIND == "everyone"
    after = catch_up("everyone", find("squats"), easy=MARCH, age_y=7.0)
    assert after.move is find("squats")


def test_landings_are_not_doubled_by_a_catch_up() -> None:
    assert catch_up("everyone", find("star-jumps"), easy=MARCH, age_y=9.0).move is MARCH


def test_a_hold_is_as_long_as_the_age_allows() -> None:
    """One-leg stands: a few seconds at five, ten at six (practice pages; Condon and Cremin 2014)."""
    held = [catch_up("everyone", find("tree"), easy=MARCH, age_y=age_y).seconds for age_y in (5, 7, 9)]
    assert held == [5, 10, 15]


def test_practise_is_offered_and_asks_nobody_to_move() -> None:
    assert catch_up("practise", find("star-jumps"), easy=MARCH, age_y=7.0).move is None


def test_calm_is_slow_breaths_whatever_the_answer_was_and_sits_with_a_class_that_sits() -> None:
    moves = {catch_up("calm", move, easy=MARCH, age_y=7.0).move for move in MOVES}
    assert moves == {find("slow-breaths")}
    sitting = catch_up("calm", None, easy=find("seated-march"), age_y=7.0)
    assert sitting.move is find(find("slow-breaths").seated)


def test_none_takes_no_time() -> None:
    assert catch_up("none", find("squats"), easy=MARCH, age_y=7.0).seconds == 0


def test_the_module_cites_why_exercise_is_no_punishment() -> None:
    """SHAPE America position statement 2021: neither withholding nor giving exercise as punishment."""
    assert "America (position statement 2021" in str(uses.__doc__)

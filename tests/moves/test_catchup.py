from __future__ import annotations

import inspect

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.moves.catalogue import catalogue
from caller.moves.catchup import (
    CATCH_UP_KINDS,
    DEFAULT_KIND,
    MAXIMUM_REPS,
    MAXIMUM_S,
    NOTE,
    CatchUp,
    CatchUpKind,
    catch_up,
)

MOVES = tuple(catalogue())


@given(st.sampled_from(CATCH_UP_KINDS), st.sampled_from(MOVES), st.integers(-5, 1000))
def test_a_catch_up_never_passes_its_caps(kind: CatchUpKind, move: str, reps: int) -> None:
    after = catch_up(kind, move, reps=reps)
    assert 0 <= after.reps <= MAXIMUM_REPS
    assert 0 <= after.seconds <= MAXIMUM_S


def test_nobody_who_asks_for_a_catch_up_can_say_who_was_right() -> None:
    """A wrong answer cannot be longer or harder, because the answer is not among what is asked."""
    assert list(inspect.signature(catch_up).parameters) == ["kind", "move", "reps"]
    assert not {"correct", "wrong", "right"} & set(CatchUp.__dataclass_fields__)


@pytest.mark.parametrize("kind", CATCH_UP_KINDS)
@pytest.mark.parametrize("move", MOVES)
def test_no_kind_is_harder_than_the_move_of_the_answer(move: str, kind: CatchUpKind) -> None:
    after = catch_up(kind, move)
    if after.move:
        assert catalogue()[after.move].effort.met_6_9 <= catalogue()[move].effort.met_6_9


def test_everyone_makes_the_time_and_does_three_of_the_answer() -> None:
    assert DEFAULT_KIND == "everyone"
    after = catch_up("everyone", "squats")
    assert (after.move, after.seated, after.arms, after.reps) == ("squats", "seated-rowing", True, 3)
    assert after.seconds == pytest.approx(4 + 3 / catalogue()["squats"].tempo_hz)
    assert after.sentences == ("catch-up.everyone", "catch-up.arms", "catch-up.reps")


def test_a_hold_is_held_for_five_seconds() -> None:
    after = catch_up("everyone", "tree", reps=5)
    assert (after.reps, after.seconds) == (0, 9.0)
    assert after.sentences[-1] == "catch-up.hold"


def test_practise_is_offered_and_asks_for_no_repetitions() -> None:
    after = catch_up("practise", "star-jumps")
    assert (after.move, after.reps, after.arms) == (None, 0, True)
    assert "catch-up.nobody-has-to" in after.sentences


def test_calm_is_slow_breaths_whatever_the_answer_was() -> None:
    assert {catch_up("calm", move).move for move in MOVES} == {"slow-breaths"}


def test_none_takes_no_time() -> None:
    after = catch_up("none", "squats")
    assert (after.seconds, after.sentences) == (0, ())


def test_the_note_cites_its_source_and_says_how_to_turn_it_off() -> None:
    """SHAPE America position statement 2021: neither withholding nor giving exercise as punishment."""
    assert "SHAPE America (position statement 2021" in NOTE
    assert "none turns it off" in NOTE

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.moves.pairs import Conditions
from caller.moves.pick_moves import LessonMoves, MovesWanted, WhoMoves, pick_moves
from caller.moves.uses import MOST_LANDINGS, landings

RISING = ("side-bends", "step-touch", "march", "knee-lifts", "side-steps")


def picked(
    rounds: Sequence[MovesWanted] = (),
    *,
    seed: int = 0,
    space_m: float = 3.0,
    age_y: float = 7.0,
    warm_up: Sequence[str] = (),
    warm_up_s: int = 0,
) -> LessonMoves:
    who = WhoMoves(
        conditions=Conditions(space_radius_m=space_m / 2),
        seated=False,
        age_y=age_y,
        chance=lambda decision, number: Random(f"{seed}/{decision}/{number}"),
    )
    return pick_moves(who, practice=None, rounds=rounds, warm_up=warm_up, warm_up_s=warm_up_s)


@given(count=st.integers(1, 5), seconds=st.integers(20, 240))
def test_a_warm_up_rises_once_from_its_gentle_move_and_never_does_one_twice_running(
    count: int, seconds: int
) -> None:
    named = RISING[:count]
    warm_up = picked(warm_up=named, warm_up_s=seconds).warm_up
    slugs = [each.move.slug for each in warm_up]
    assert sum(each.seconds for each in warm_up) == pytest.approx(seconds, abs=0.1)
    assert all(each.seconds <= 25 for each in warm_up)
    assert slugs[0] == named[0] or len(slugs) == 1
    assert slugs[-1] == named[-1]
    if count >= 3:  # gentle moves only lead into the lively ones
        assert slugs.count(named[0]) == (1 if len(slugs) > 1 else 0)
        assert all(one != other for one, other in pairwise(slugs))


@pytest.mark.parametrize("seed", range(5))
def test_on_a_small_floor_steady_moves_come_in_and_light_ones_do_not_come_by_turns(seed: int) -> None:
    first, *others = (each.move for each in picked(seed=seed, space_m=1.2, warm_up_s=200).warm_up)
    assert first.effort.met(7) < 3
    assert all(3 <= move.effort.met(7) < 6 and not move.high_impact for move in others)
    assert len({move.slug for move in others}) >= 2


@pytest.mark.parametrize("right", [0, 1])
def test_the_whole_class_does_the_move_of_the_right_choice_again(right: int) -> None:
    wanted = MovesWanted(
        name=1, count=2, own=("squats", "knee-lifts"), right=right, catch_up="everyone", catch_up_s=14
    )
    (found,) = picked([wanted]).rounds
    assert [move.slug for move in found.moves] == ["squats", "knee-lifts"]
    assert found.catch_up is not None
    assert (found.catch_up.move, found.catch_up.seconds) == (found.moves[right], 14)


@given(count=st.integers(1, 14), seed=st.integers(0, 1000), age_y=st.sampled_from([5.0, 7.0, 10.0]))
def test_whichever_lane_a_child_takes_its_landings_stay_within_what_is_safe(
    count: int, seed: int, age_y: float
) -> None:
    rounds = [MovesWanted(name=number, count=2, last=number == count) for number in range(1, count + 1)]
    found = picked(rounds, seed=seed, age_y=age_y).rounds
    beat = 150 if any(move.running for each in found for move in each.moves) else 120  # runs are the quickest
    most = sum(max(landings(move, each.seconds, beat) for move in each.moves) for each in found)
    assert most <= MOST_LANDINGS
    assert not any(move.high_impact for move in found[-1].moves)


def test_where_nothing_is_chosen_all_do_what_everybody_can() -> None:
    found = picked([MovesWanted(name=1, count=0, catch_up="everyone")])
    (each,) = found.rounds
    assert (each.moves, each.meanwhile) == ((), found.easy)
    assert each.catch_up is not None
    assert each.catch_up.move == found.easy


def test_a_hard_bout_and_a_hard_catch_up_ask_for_a_breath_and_an_easy_one_does_not() -> None:
    hard, easy = (
        picked(
            [MovesWanted(name=1, count=2, own=own, catch_up="everyone", catch_up_s=20, seconds=30)], age_y=9.0
        )
        for own in (("high-knees", "heel-flicks"), ("march", "side-steps"))
    )
    assert hard.rounds[0].breath
    assert not easy.rounds[0].breath

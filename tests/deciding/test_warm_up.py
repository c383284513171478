from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.deciding.decide import decide
from caller.lesson import Lesson, Opening, Round

RISING = ("side-bends", "step-touch", "march", "knee-lifts", "side-steps")


@given(count=st.integers(1, 5), seconds=st.integers(20, 240))
def test_a_warm_up_rises_once_from_its_gentle_move_and_never_does_one_twice_running(
    count: int, seconds: int
) -> None:
    named = RISING[:count]
    lesson = Lesson(rounds=(Round(),), opening=Opening(warm_up=named, warm_up_seconds=seconds))
    warm_up = decide(lesson).warm_up
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
    lesson = Lesson(rounds=(Round(),), space_m=1.2, seed=seed, opening=Opening(warm_up_seconds=200))
    first, *others = (each.move for each in decide(lesson).warm_up)
    assert first.effort.met(7) < 3
    assert all(3 <= move.effort.met(7) < 6 and not move.high_impact for move in others)
    assert len({move.slug for move in others}) >= 2

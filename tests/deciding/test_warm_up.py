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

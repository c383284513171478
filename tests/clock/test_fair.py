from __future__ import annotations

import pytest

from caller.clock.fair import partners
from caller.clock.hands import smallest_difference_deg
from caller.clock.ladder import STEPS, Step
from caller.clock.times import ClockTime

BOTH = ("analogue", "digital")


@pytest.mark.parametrize("step", STEPS, ids=lambda step: str(step.code))
def test_two_readings_stand_together_as_often_whichever_is_right(step: Step) -> None:
    beside = partners(step, BOTH, 6.0)
    assert len(beside) == 12 * len(step.minutes)
    for time, shares in beside.items():
        assert sum(shares.values()) == pytest.approx(1.0, abs=0.01)
        assert time not in shares
        for other, share in shares.items():
            assert beside[other][time] == pytest.approx(share)
            assert smallest_difference_deg(time, other) >= 6.0


def test_a_slip_stands_beside_its_time_often_and_in_both_directions() -> None:
    half_past = partners(next(step for step in STEPS if step.code == "half-past"), BOTH, 6.0)
    by_long_hand, plain = half_past[ClockTime(9, 30)][ClockTime(6, 30)], half_past[ClockTime(9, 30)]
    assert by_long_hand > plain[ClockTime(2, 30)]
    assert half_past[ClockTime(6, 30)][ClockTime(9, 30)] == pytest.approx(by_long_hand)

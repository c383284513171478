"""Calls put into a running lesson: heard in their place, without a gap, whatever was queued."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from caller.live.reteach_now import TeachAgain
from caller.runsheet.model import Call
from caller.timeline.segment import Timeline
from tests.live.conftest import make_call
from tests.live.test_conductor import ROUND, Hall, numbers

AGAIN = (make_call(21, 0.6, kind="reason", in_round=1), make_call(22, 0.7, kind="choices", in_round=1))
NEXT = make_call(6, 0.8, kind="ready", in_round=2)


@pytest.fixture
def hall(timeline_of: Callable[..., Timeline]) -> Hall:
    return Hall(timeline_of(*ROUND[:3], NEXT))


def test_what_is_heard_goes_on_and_the_new_calls_follow_without_a_gap(hall: Hall) -> None:
    assert hall.listen(0.5).call.number == 1
    hall.conductor.put(2, [*AGAIN, NEXT])
    assert numbers(hall.conductor.calls) == [1, 2, 3, 21, 22, 6]
    hall.listen(5.6)
    # Every second is said at its own level (at a starting volume of -6 dB): no second is missing or doubled.
    levels = [round(hall.heard[place] / 0.501, 1) for place in range(50, 600, 100)]
    assert levels == [0.1, 0.2, 0.3, 0.6, 0.7, 0.8]
    assert min(abs(level) for level in hall.heard[5:595]) > 0.04


def test_calls_queued_already_are_taken_back(hall: Hall) -> None:
    hall.listen(2.5)  # the call in round 2 is queued behind the third by now
    hall.conductor.put(2, [*AGAIN, NEXT])
    assert hall.listen(1.0).call.number == 21
    assert hall.listen(2.0).call.number == 6


def test_a_late_wish_cuts_the_next_round_short(hall: Hall) -> None:
    assert hall.listen(3.3).call.number == 6
    hall.conductor.put(2, [*AGAIN, NEXT])
    assert hall.listen(0.2).call.number == 21
    assert hall.listen(2.0).call.number == 6
    assert hall.listen(1.0).finished


def test_a_round_is_taught_again_once_even_after_carrying_on(timeline_of: Callable[..., Timeline]) -> None:
    def again(*, already: bool) -> list[int]:
        third = replace(ROUND[2], part="round")
        taught = [replace(call, part="reteach") for call in AGAIN]
        later = [
            make_call(30, 0.1, kind="question", in_round=2),
            make_call(31, 0.1, kind="move", think_s=40, in_round=2),
        ]
        timeline = timeline_of(*ROUND[:2], third, *(taught if already else []), *later)
        hall = Hall(timeline)
        changes: list[tuple[Call, ...]] = []
        branches = replace(timeline.run_sheet, calls=tuple(taught))
        lead = TeachAgain(branches, timeline, hall.conductor, changes.append)
        assert lead.ask((1, "round"))
        assert not lead.ask((1, "round"))
        lead._worker.shutdown(wait=True)
        return [call.number for call in hall.conductor.calls]

    assert again(already=False) == [1, 2, 3, 21, 22, 30, 31]
    assert again(already=True) == [1, 2, 3, 21, 22, 30, 31]

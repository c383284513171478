"""Calls put into a running lesson: heard in their place, without a gap, whatever was queued."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from caller.live.performance.conductor import TeachAgain
from caller.live.words import said
from caller.runsheet import Call
from caller.timeline.segment import Timeline
from tests.live.conftest import make_call
from tests.live.performance.test_conductor import ROUND, Hall, numbers

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
        lead = TeachAgain(branches, timeline, hall.conductor, hall.background, changes.append)
        told: list[str] = []
        lead.ask((1, "round"), told.append)
        lead.ask((1, "round"), told.append)
        assert told == [
            said("count.taught-already") if already else said("count.taught-next"),
            said("count.taught-already"),
        ]
        return [call.number for call in hall.conductor.calls]

    assert again(already=False) == [1, 2, 3, 21, 22, 30, 31]
    assert again(already=True) == [1, 2, 3, 21, 22, 30, 31]


class Round:
    """A round with its reason and catch-up, one to come, and what is prepared for the first."""

    def __init__(self, timeline_of: Callable[..., Timeline], *, think_s: int) -> None:
        first = [
            make_call(1, 0.1, kind="move", in_round=1),
            make_call(2, 0.2, kind="answer", in_round=1),
            make_call(3, 0.3, kind="reason", in_round=1),
            make_call(4, 0.4, kind="catch-up", in_round=1),
        ]
        later = [
            make_call(30, 0.1, kind="question", in_round=2),
            make_call(31, 0.1, kind="move", think_s=think_s, in_round=2),
        ]
        timeline = timeline_of(*first, *later)
        self.hall = Hall(timeline)
        taught = tuple(replace(call, part="reteach") for call in AGAIN)
        branches = replace(timeline.run_sheet, calls=taught)
        self.kept: list[tuple[Call, ...]] = []
        self.again = TeachAgain(
            branches, timeline, self.hall.conductor, self.hall.background, self.kept.append
        )
        self.told: list[str] = []

    def ask(self, number: int = 1) -> None:
        self.again.ask((number, "round"), self.told.append)

    @property
    def numbers(self) -> list[int]:
        return numbers(self.hall.conductor.calls)


def test_few_is_taught_again_at_once_after_the_answer_not_after_the_catch_up(
    timeline_of: Callable[..., Timeline],
) -> None:
    led = Round(timeline_of, think_s=40)
    led.hall.listen(1.5)  # in the answer
    led.ask()
    assert led.told == [said("count.taught-next")]
    assert led.numbers == [1, 2, 21, 22, 30, 31]
    assert numbers(led.kept[-1]) == led.numbers
    assert led.hall.listen(1.0).call.number == 21


def test_a_count_that_is_taken_back_takes_the_teaching_back_unless_it_has_begun(
    timeline_of: Callable[..., Timeline],
) -> None:
    led = Round(timeline_of, think_s=40)
    led.hall.listen(1.5)
    led.ask()
    led.again.take_back((1, "round"))
    assert led.numbers == [1, 2, 3, 4, 30, 31]
    led.ask()
    led.hall.listen(1.0)
    led.again.take_back((1, "round"))
    assert led.numbers == [1, 2, 21, 22, 30, 31]


def test_why_it_is_not_taught_again_is_told(timeline_of: Callable[..., Timeline]) -> None:
    led = Round(timeline_of, think_s=40)
    led.ask(2)
    assert led.told == [said("count.nothing-prepared")]
    short = Round(timeline_of, think_s=1)
    short.hall.listen(3.5)  # in the catch-up: nothing is saved by leaving it out
    short.again._branches = replace(
        short.again._branches,
        calls=tuple(replace(call, hold_s=60.0) for call in short.again._branches.calls),
    )
    short.ask()
    assert short.told == [said("count.no-time-left")]
    assert short.numbers == [1, 2, 3, 4, 30, 31]


def test_an_error_while_teaching_again_is_told_and_the_lesson_goes_on(
    timeline_of: Callable[..., Timeline],
) -> None:
    led = Round(timeline_of, think_s=40)
    led.again._branches = replace(
        led.again._branches, calls=tuple(replace(call, round=9) for call in led.again._branches.calls)
    )
    led.ask(9)  # prepared for a round that the lesson does not have
    assert "teach again" in led.hall.background.notice()
    assert led.hall.listen(0.5).call.number == 1

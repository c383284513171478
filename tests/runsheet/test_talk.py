"""What a lesson speaks: readings are spelled where an echo could take one for the other, and only there."""

from __future__ import annotations

from dataclasses import replace

import pytest

from caller.clock import ClockTime
from caller.hall.adapt import DEFAULT_DELIVERY
from caller.lesson import Lesson, Round
from caller.runsheet.sequence import make_run_sheet


def said(wrong: ClockTime) -> str:
    lesson = Lesson(
        step="minutes",
        register="digital",
        rounds=(Round(time=ClockTime(3, 30), wrong=(wrong,)),),
    )
    echoing = replace(DEFAULT_DELIVERY, wording="apart")
    calls = make_run_sheet(lesson, delivery=echoing).calls
    return " ".join(line.speech for call in calls if call.round == 1 for line in call.lines)


@pytest.mark.parametrize(
    ("wrong", "spelled"), [(ClockTime(3, 13), True), (ClockTime(4, 30), False), (ClockTime(4, 13), False)]
)
def test_a_reading_is_spelled_only_beside_its_like(wrong: ClockTime, spelled: bool) -> None:
    assert ("three, three zero" in said(wrong)) is spelled
    assert ("three thirty" in said(wrong)) is not spelled or spelled

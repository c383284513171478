"""Lessons of a class at Lantern Bay School, as the record would hold them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from caller.clock import ClockTime
from caller.clock.mixups import explained_by
from caller.record import LessonKept, Offered, RoundKept, Tally
from caller.record.knowledge import DAY_S

Asked = tuple[str, str, Tally | None]


def a_round(number: int, time: str, wrong: str, tally: Tally | None, at_s: float) -> RoundKept:
    true, other = ClockTime.parse(time), ClockTime.parse(wrong)
    return RoundKept(
        number=number,
        part="round",
        at_s=at_s,
        question="read",
        step="quarters",
        time=true,
        wrong=(Offered(time=other, mixups=explained_by(true, other, ["digital"])),),
        answer="left",
        tally=tally,
    )


@pytest.fixture
def lesson_on() -> Callable[[float, Sequence[Asked]], LessonKept]:
    def make(day: float, asked: Sequence[Asked]) -> LessonKept:
        began_s = day * DAY_S
        return LessonKept(
            number=1 + int(day),
            class_name="Terns",
            title="Quarters",
            began_s=began_s,
            ended_s=began_s + 900,
            ending="ended",
            planned_s=900.0,
            stand_in=False,
            rounds=tuple(
                a_round(number, time, wrong, tally, began_s + 60 * number)
                for number, (time, wrong, tally) in enumerate(asked, start=1)
            ),
        )

    return make

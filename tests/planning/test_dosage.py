from __future__ import annotations

from dataclasses import replace

import pytest

from caller.clock.times import ClockTime
from caller.lesson.model import Lesson, Opening, Practice, Round
from caller.planning.dosage import lesson_dose, spells
from caller.planning.lengths import total_s
from caller.runsheet.sequence import make_run_sheet
from caller.timeline.layout import CallLayout
from tests.planning.fakes import quiet_lengths

LESSON = Lesson(
    rounds=(
        Round(time=ClockTime(4, 15), moves=("star-jumps", "squats")),
        Round(time=ClockTime(9, 45), kind="be-the-clock"),
        Round(time=ClockTime(1, 30), moves=("sky-reach", "forward-fold")),
    ),
    think_seconds=20,
    practice=Practice(skip=True),
    opening=Opening(warm_up=("march", "knee-lifts"), warm_up_seconds=90),
)


def _layouts(lesson: Lesson = LESSON) -> tuple[CallLayout, ...]:
    return quiet_lengths().layouts(make_run_sheet(lesson))


def test_what_the_class_does_lasts_as_long_as_the_calls() -> None:
    layouts = _layouts()
    assert sum(spell.seconds for spell in spells(layouts)) == pytest.approx(total_s(layouts), abs=1e-9)


def test_think_time_is_deciding_and_then_the_gentler_or_the_harder_move() -> None:
    layouts = _layouts()
    doing = {spell.move: spell.seconds for spell in spells(layouts) if spell.seconds == 16}
    assert "squats" in doing
    assert "star-jumps" not in doing
    harder = {spell.move for spell in spells(layouts, doing="harder") if spell.seconds == 16}
    assert "star-jumps" in harder


def test_jumps_count_only_for_the_child_who_does_the_harder_move() -> None:
    """Star jumps land twice in a repetition; 16 s at the catalogue's tempo, and three in the catch-up."""
    lesson = replace(LESSON, rounds=(replace(LESSON.rounds[0], answer="right"), *LESSON.rounds[1:]))
    assert lesson_dose(_layouts(lesson), age_y=7).jumps == 0
    assert lesson_dose(_layouts(lesson), age_y=7, doing="harder").jumps > 16


def test_the_warm_up_and_the_calm_end_are_found() -> None:
    dose = lesson_dose(_layouts(), age_y=7)
    assert dose.warm_up_s == pytest.approx(92, abs=0.5)  # and two seconds of shaking out
    assert dose.calm_s > 16 + 3 * 7  # the last round's stretches, and three breaths of seven seconds


def test_making_a_clock_with_the_arms_counts_as_standing() -> None:
    arms = [spell for layout in _layouts() if layout.call.round == 2 for spell in spells([layout])]
    assert {spell.move for spell in arms} <= {None, "slow-breaths"}

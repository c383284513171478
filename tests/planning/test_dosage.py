from __future__ import annotations

from dataclasses import replace

import pytest

from caller.clock import ClockTime
from caller.lesson import Lesson, Opening, Practice, Round
from caller.moves import find
from caller.planning.dosage import activity_of, lesson_dose, spells
from caller.planning.lengths import total_s
from caller.runsheet.sequence import make_run_sheet
from caller.timeline import CallLayout
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


def _bouts_s(layouts: tuple[CallLayout, ...]) -> list[int]:
    calls = [layout.call for layout in layouts if layout.call.kind == "move"]
    return [call.countdown.seconds for call in calls if call.countdown is not None]


def test_what_the_class_does_lasts_as_long_as_the_calls() -> None:
    layouts = _layouts()
    assert sum(spell.seconds for spell in spells(layouts)) == pytest.approx(total_s(layouts), abs=1e-9)


def test_the_bout_is_the_gentler_or_the_harder_move_and_deciding_stands_still() -> None:
    """Of 20 s the first three are still; squats allow the other 17, and star jumps 15 at most at seven."""
    layouts = _layouts()
    bout_s = next(
        each.call.countdown.seconds for each in layouts if each.call.kind == "move" and each.call.countdown
    )
    assert bout_s == 15
    doing = {spell.move for spell in spells(layouts) if spell.seconds == bout_s}
    assert "squats" in doing
    assert "star-jumps" not in doing
    assert "star-jumps" in {
        spell.move for spell in spells(layouts, doing="harder") if spell.seconds == bout_s
    }
    deciding = [each for each in layouts if each.call.kind == "decide"]
    assert {spell.move for spell in spells(deciding)} == {None}


def test_landings_count_for_the_child_who_does_the_jumping_move_and_no_catch_up_doubles_them() -> None:
    lesson = replace(LESSON, rounds=(replace(LESSON.rounds[0], answer="left"), *LESSON.rounds[1:]))
    assert lesson_dose(_layouts(lesson), age_y=7).jumps == 0
    landings = 15 * 2 * find("star-jumps").tempo_hz  # two in a repetition
    assert lesson_dose(_layouts(lesson), age_y=7, doing="harder").jumps == pytest.approx(landings, abs=1)


def test_words_count_as_standing_and_only_what_is_asked_for_as_movement() -> None:
    layouts = _layouts()
    moving = [spell for spell in spells(layouts) if spell.move is not None]
    asked_s = sum(
        each.call.hold_s
        for each in layouts
        if each.call.kind in {"warm-up", "catch-up"} and each.call.board.move
    )
    asked_s += sum(
        each.call.countdown.seconds for each in layouts if each.call.kind == "move" and each.call.countdown
    )
    breaths_s = LESSON.close.breaths * 7.0
    assert sum(spell.seconds for spell in moving) == pytest.approx(asked_s + breaths_s, abs=0.01)


def test_the_warm_up_and_the_calm_end_are_found() -> None:
    dose = lesson_dose(_layouts(), age_y=7)
    assert dose.warm_up_s == pytest.approx(90, abs=0.5)
    assert dose.calm_s > 17 + 3 * 7  # the last round's stretches, and three breaths of seven seconds


def test_making_a_clock_with_the_arms_counts_as_standing_and_the_march_before_it_does_not() -> None:
    arms = [layout for layout in _layouts() if layout.call.round == 2]
    assert {spell.move for spell in spells(arms)} == {None, "march"}
    showing = [layout for layout in arms if layout.call.kind in {"time-up", "answer"}]
    assert {spell.move for spell in spells(showing)} == {None}


def test_the_costs_of_standing_add_up_to_what_is_not_active() -> None:
    layouts = _layouts()
    found = lesson_dose(layouts, age_y=7)
    active = activity_of(layouts, found, 3, age_y=7)
    assert sum(active.costs_s.values()) == pytest.approx(found.total_s - found.mvpa_s)
    assert list(active.costs_s.values()) == sorted(active.costs_s.values(), reverse=True)
    assert active.likely_share == pytest.approx(0.85 * found.mvpa_share)  # Beemer et al. 2018
    assert active.clocks_per_min == pytest.approx(180 / found.total_s)

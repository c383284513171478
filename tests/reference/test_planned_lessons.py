"""Planned lessons keep the goals of movement and pace, or plan and check say what was missed and why.

What is kept is summed from the run sheet alone, by none of the program's own measures. A class with nothing
that costs time (one language, a hall without an echo, a clock that is read) has no excuse.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from benchmarks.plans import drawn, planned
from caller.planning.checks import look_over
from caller.planning.classfile import SchoolClass
from caller.planning.notes import five_lines
from caller.planning.plan import Plan
from caller.planning.staging import rehearse, stage_of
from tests.planning.fakes import quiet_lengths
from tests.reference.run_sheet_sums import Summed, faults

LENGTHS = quiet_lengths()
TOLD = {
    "share": ("Short of it by", "of the lesson calls for moderate or vigorous movement"),
    "round": ("clock takes", "clock takes"),
    "standing": ("tanding in it", "tanding in it"),
    "stretch": ("tanding at a stretch", "tanding at a stretch"),
    "clocks": ("clocks (goal", "clocks (goal"),
}
"""How the plan and the check tell each goal that is missed."""

CAUSES = (
    "echo",
    "Two languages",
    "Reckoning",
    "eated moves",
    "m of floor for each child",
    "avoids",
    "Most of it goes to",
)
"""Some of these, named in the plan."""
CHUNK = 50


def missed(summed: Summed) -> Mapping[str, bool]:
    """Return which goals a lesson misses; seconds are told whole."""
    round_s, standing_s = summed.medians_s()
    return {
        "share": summed.share < 0.5,
        "round": round_s > 75.5,
        "standing": standing_s > 33.5,
        "stretch": summed.longest_standing_s() > 25.5,
        "clocks": len(list(summed.rounds())) < int(0.55 * summed.total_s / 60),
    }


def has_no_excuse(school_class: SchoolClass) -> bool:
    """Tell whether nothing about a class costs time or moves; short periods have few clocks to be usual."""
    return (
        school_class.hall in ("", "classroom")
        and school_class.second_language is None
        and school_class.language in ("en-GB", "en-US")
        and school_class.step not in ("elapsed", "day-parts")
        and school_class.space_m >= 1.4
        and not school_class.seated
        and not school_class.avoid
        and school_class.minutes >= 15
    )


def look_at(school_class: SchoolClass, plan: Plan) -> None:
    """Hold one planned lesson against the goals, the rules of safety, and what is said of it."""
    summed = Summed(plan.lesson, plan.run_sheet, LENGTHS)
    found = missed(summed)
    if has_no_excuse(school_class):
        assert not any(found.values()), (school_class, found)
    stage = stage_of(school_class.hall, Path())
    plan_says = " ".join(five_lines(plan))
    check_says = " ".join(each.text for each in look_over(rehearse(plan.lesson, stage, LENGTHS)))
    for goal, is_missed in found.items():
        assert (TOLD[goal][0] in plan_says) == is_missed, (goal, plan_says)
        assert (TOLD[goal][1] in check_says) == is_missed, (goal, check_says)
    if any(found.values()):
        assert any(cause in plan_says for cause in CAUSES), plan_says
        assert any(cause in check_says for cause in (*CAUSES, "Most time goes to")), check_says
    # From 1.4 m on there is room to march, to squat and to jump on the spot: then it is not the floor that
    # costs movement. Barefoot nobody jumps, and what is left needs a little more.
    small_m = 1.4 if school_class.shod else 1.6
    assert "of floor for each child" not in plan_says + check_says or school_class.space_m < small_m
    assert faults(summed) == []


@pytest.mark.parametrize("number", [5, 12, 40])
def test_a_planned_lesson_keeps_its_goals_or_says_why_not(number: int) -> None:
    for school_class, plan in planned([number], LENGTHS):
        assert isinstance(plan, Plan)
        look_at(school_class, plan)


@pytest.mark.parametrize(
    ("number", "kept"),
    [
        (16, ("share", "round", "clocks")),  # an echo in a sports hall: bouts give way
        (39, ("share", "round", "clocks")),  # 1.2 m for each child: the warm-up has more than shoulder rolls
        (100, ("share", "clocks")),  # an echo and two languages: half of it is movement all the same
    ],
)
def test_what_makes_words_long_or_moves_few_costs_as_little_as_it_must(
    number: int, kept: tuple[str, ...]
) -> None:
    for _, plan in planned([number], LENGTHS):
        assert isinstance(plan, Plan)
        found = missed(Summed(plan.lesson, plan.run_sheet, LENGTHS))
        assert [goal for goal in kept if found[goal]] == []


@pytest.mark.nightly
@pytest.mark.timeout(1200)
@pytest.mark.parametrize("first", range(0, 1000, CHUNK))
def test_a_thousand_planned_lessons_keep_their_goals_or_say_why_not(first: int) -> None:
    """A class for which no moves are left is told so; it is the hall and the class that leave none."""
    for school_class, plan in planned(range(first, first + CHUNK), LENGTHS):
        if isinstance(plan, Plan):
            look_at(school_class, plan)
        else:
            assert str(plan).startswith("No two moves fit this hall and class")
            assert school_class.space_m < 1.4 or school_class.avoid or school_class.seated


def test_the_classes_that_are_drawn_are_of_every_sort() -> None:
    classes = [drawn(number)[0] for number in range(1000)]
    assert {each.language for each in classes} == {"en-GB", "en-US", "es", "es-US", "fr", "de"}
    assert {each.age[0] for each in classes} == set(range(5, 11))
    assert {each.minutes for each in classes} == set(range(10, 46))
    assert sum(has_no_excuse(each) for each in classes) > 40

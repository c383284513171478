from __future__ import annotations

from itertools import pairwise

import pytest

from caller.clock import ClockTime
from caller.clock.ladder import STEP_CODES
from caller.planning.classfile import SchoolClass
from caller.planning.clocks import LESSONS_UNTIL_RETURN
from caller.planning.next_lessons import TermLesson, plan_term, steps_of_term
from caller.planning.notes import file_name, overview
from caller.planning.staging import Stage
from tests.planning.fakes import quiet_lengths
from tests.sampling import sampled

LENGTHS = quiet_lengths()


def _term(
    step: str, *, weeks: int = 8, per_week: int = 2, minutes: int = 15, **options: object
) -> list[TermLesson]:
    puffins = SchoolClass(name="Puffins", step=step, minutes=minutes)
    return plan_term(
        puffins,
        weeks=weeks,
        per_week=per_week,
        stage=Stage(),
        lengths=LENGTHS,
        **options,  # type: ignore[arg-type]
    )


def _gaps_days(term: list[TermLesson]) -> list[float]:
    """Return how many days lie between two showings of the same clock."""
    shown: dict[ClockTime, list[float]] = {}
    for lesson in term:
        for time in lesson.plan.shown:
            shown.setdefault(time, []).append(lesson.day)
    return [b - a for days in shown.values() for a, b in pairwise(days)]


@pytest.mark.parametrize("step", sampled(["fives-past", "fives-to", "minutes", "elapsed", "day-parts"], 2))
def test_no_clock_comes_twice_within_a_fortnight(step: str) -> None:
    term = _term(step)
    assert min(_gaps_days(term), default=15.0) > 14.0
    assert "- No clock comes twice within two weeks." in overview(term)


def test_where_a_step_is_too_small_the_overview_says_how_often_clocks_come_again() -> None:
    term = _term("o-clock", weeks=3)
    again = sum(len(lesson.plan.again) for lesson in term)
    assert again == sum(gap <= 14.0 for gap in _gaps_days(term))
    assert f"- {again} times a clock comes again within two weeks" in overview(term)
    # Twelve clocks cannot do for the first two lessons: the least that must come again is what is left.
    first, second = (len(lesson.plan.shown) for lesson in term[:2])
    assert sum(len(lesson.plan.again) for lesson in term[:2]) == max(0, first + second - 12)


def test_clocks_met_before_the_term_count_too() -> None:
    met = [(ClockTime(hour, 15), 2.0) for hour in range(1, 7)]
    term = _term("quarters", weeks=1, recent=met)
    assert not {time for time, _ in met} & set(term[0].plan.shown)


def test_the_term_goes_up_the_ladder_and_stays_about_three_weeks_on_a_step() -> None:
    steps = steps_of_term("quarters", 24, 2)
    assert list(dict.fromkeys(steps)) == ["quarters", "fives-past", "fives-to", "minutes"]
    assert {steps.count(each) for each in steps} == {6}


@pytest.mark.parametrize("first", STEP_CODES)
@pytest.mark.parametrize(("lessons", "per_week"), [(1, 1), (2, 2), (12, 3), (100, 2)])
def test_steps_never_go_down_and_fill_the_term(first: str, lessons: int, per_week: int) -> None:
    places = [STEP_CODES.index(code) for code in steps_of_term(first, lessons, per_week)]
    assert len(places) == lessons
    assert places == sorted(places)
    assert places[0] == STEP_CODES.index(first)


def test_a_skill_comes_back_at_intervals_that_expand() -> None:
    term = _term("half-past", weeks=12, minutes=20)
    for code in ("o-clock", "half-past"):
        taught = [index for index, lesson in enumerate(term) if lesson.plan.lesson.step == code]
        last = taught[-1] if taught else -1
        back = [index for index, lesson in enumerate(term) if code in lesson.returns and index > last]
        gaps = [b - a for a, b in pairwise([last, *back])]
        assert len(gaps) >= 3
        # A lesson has room for two: what is due may have to wait, but it never comes too early.
        assert all(gap >= least for gap, least in zip(gaps, LESSONS_UNTIL_RETURN, strict=False))
        assert gaps == sorted(gaps)


def test_the_overview_links_every_lesson_by_its_file_name() -> None:
    term = _term("quarters", weeks=2)
    page = overview(term)
    assert page.startswith("# The Puffins: 4 lessons in 2 weeks\n")
    names = [file_name(lesson) for lesson in term]
    assert names == [f"week-{week:02d}-{place}-quarters.toml" for week in (1, 2) for place in (1, 2)]
    assert all(f"]({name})" in page for name in names)
    assert page.endswith("- Local rules, the school's policy and qualified staff decide.\n")


def test_the_same_seed_gives_the_same_term() -> None:
    assert [each.plan.lesson for each in _term("minutes", weeks=1)] == [
        each.plan.lesson for each in _term("minutes", weeks=1)
    ]

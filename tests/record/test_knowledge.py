from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pytest

from benchmarks.knowledge import recovery
from caller.clock.ladder import STEP_CODES
from caller.record import LessonKept, Tally
from caller.record.knowledge import DAY_S, FIRST_HALF_LIFE_DAYS, know, retained
from tests.record.conftest import Asked

MOST, HALF, FEW = (Tally(judgement=judgement) for judgement in ("most", "half", "few"))
LessonOn = Callable[[float, Sequence[Asked]], LessonKept]


def test_nothing_is_known_of_a_class_without_lessons_and_easier_steps_are_likelier() -> None:
    knowledge = know((), 0.0)
    assert knowledge.known == {}
    assert knowledge.confused == {}
    means = [knowledge.steps[code].mean for code in STEP_CODES]
    assert means == sorted(means, reverse=True)


def test_half_of_two_choices_right_is_no_knowledge_at_all(lesson_on: LessonOn) -> None:
    """Two choices mean that half are right by guessing; no mix-up leads from 9:30 to 2:30."""
    half = know([lesson_on(0, [("9:30", "2:30", HALF)] * 8)], 1000.0).steps["half-past"].mean
    most = know([lesson_on(0, [("9:30", "2:30", MOST)] * 8)], 1000.0).steps["half-past"].mean
    assert half < 0.35
    assert most > 0.6


def test_more_lessons_make_it_surer(lesson_on: LessonOn) -> None:
    def width(lessons: int) -> float:
        held = [lesson_on(day, [("9:30", "10:30", MOST)] * 3) for day in range(lessons)]
        estimate = know(held, held[-1].rounds[-1].at_s).steps["half-past"]
        return estimate.high - estimate.low

    assert width(6) < width(3) < width(1)


def test_few_right_is_charged_to_the_mixup_that_was_offered(lesson_on: LessonOn) -> None:
    knowledge = know([lesson_on(0, [("7:45", "8:45", FEW), ("7:15", "3:35", MOST)])], 1000.0)
    assert knowledge.confused["hour-to-nearest"] > 0.25 > knowledge.confused["hands-swapped"]


def test_one_wrong_answer_that_two_mixups_explain_is_shared_and_a_separating_clock_decides(
    lesson_on: LessonOn,
) -> None:
    together = know([lesson_on(0, [("7:45", "8:45", FEW)] * 2)], 1000.0).confused
    assert together["hour-to-nearest"] == pytest.approx(together["hour-to-larger"], abs=0.02)
    # Before the half hour only the second of them predicts an error.
    apart = know([lesson_on(0, [("7:45", "8:45", FEW)] * 2 + [("7:15", "8:15", MOST)] * 2)], 1000.0).confused
    assert apart["hour-to-nearest"] > apart["hour-to-larger"] + 0.1


@pytest.mark.parametrize("days", [1, 7, 21])
def test_what_is_known_falls_by_the_cited_curve(lesson_on: LessonOn, days: float) -> None:
    """Half-life regression: p = 2^(-days / h), Settles & Meeder 2016, ACL, P16-1174."""
    lesson = lesson_on(0, [("9:30", "10:30", MOST)] * 8)
    end_s = lesson.rounds[-1].at_s
    at_once, later = know([lesson], end_s), know([lesson], end_s + days * DAY_S)
    fallen = later.steps["half-past"].mean / at_once.steps["half-past"].mean
    assert fallen == pytest.approx(2 ** (-days / FIRST_HALF_LIFE_DAYS), abs=0.06)
    assert retained(FIRST_HALF_LIFE_DAYS, FIRST_HALF_LIFE_DAYS) == 0.5


def test_what_was_known_after_a_gap_lasts_longer_and_what_was_not_shorter(lesson_on: LessonOn) -> None:
    def half_life(tally: Tally) -> float:
        lessons = [lesson_on(day, [("9:30", "10:30", tally)] * 6) for day in (0, 21)]
        return know(lessons, lessons[-1].rounds[-1].at_s).half_life_days["half-past"]

    assert half_life(MOST) > 1.5 * FIRST_HALF_LIFE_DAYS
    assert half_life(FEW) < FIRST_HALF_LIFE_DAYS / 1.2


def test_it_tells_how_many_days_ago_clocks_and_steps_were_met(lesson_on: LessonOn) -> None:
    lessons = [lesson_on(0, [("9:30", "10:30", MOST)]), lesson_on(10, [("7:45", "8:45", HALF)])]
    knowledge = know(lessons, 12 * DAY_S)
    assert {str(time): round(days) for time, days in knowledge.times_days.items()} == {"9:30": 12, "7:45": 2}
    assert {step: round(days) for step, days in knowledge.steps_days.items()} == {
        "half-past": 12,
        "quarters": 2,
    }


def test_simulated_classes_are_recovered_better_than_by_per_cent_correct_and_a_fixed_ladder() -> None:
    errors = [found for seed in range(12) if (found := recovery(seed)) is not None]
    for what in ("steps", "mixups"):
        mean = {
            name: float(np.mean([getattr(each, what)[name] for each in errors]))
            for name in ("model", "per cent correct", "fixed ladder")
        }
        assert mean["model"] < min(mean["per cent correct"], mean["fixed ladder"])


WEEKS = {
    "few, then most, every fortnight": [(14 * each, FEW if each < 3 else MOST) for each in range(7)],
    "few, a month's gap, most": [
        (0, FEW),
        (7, FEW),
        (14, FEW),
        (44, MOST),
        (51, MOST),
        (58, MOST),
        (65, MOST),
    ],
    "few, six weeks' gap, most": [
        (0, FEW),
        (7, FEW),
        (14, FEW),
        *((59 + 7 * each, MOST) for each in range(9)),
    ],
    "few, then most, every week": [(7 * each, FEW if each < 3 else MOST) for each in range(7)],
    "most, half a year's gap, most": [(0, MOST), *((180 + 7 * each, MOST) for each in range(4))],
    "a clock that was in 1970 once": [(0, MOST), *((20_000 + 7 * each, MOST) for each in range(4))],
}


@pytest.mark.filterwarnings("error")  # a date from a dead clock battery once overflowed
@pytest.mark.parametrize("weeks", WEEKS)
def test_a_class_that_reads_well_now_is_believed_whatever_it_read_before(
    lesson_on: LessonOn, weeks: str
) -> None:
    """After four lessons of "most" in a row; without what came before them, about 0.8 is known."""
    lessons = [lesson_on(day, [("9:30", "10:30", tally)] * 5) for day, tally in WEEKS[weeks]]
    now_s = lessons[-1].rounds[-1].at_s
    fresh = know(lessons[-4:], now_s).known["half-past"]
    known = know(lessons, now_s).known["half-past"]
    assert known > 0.5
    assert known > 0.7 * fresh

from __future__ import annotations

import pytest

from caller.clock.times import ClockTime
from caller.lesson.model import Lesson, Opening, Practice, Round
from caller.planning.fitting import Fit, Limits, NoFitError, fit
from caller.planning.lengths import total_s
from caller.runsheet.sequence import make_run_sheet
from caller.timeline.layout import CallLayout
from tests.planning.fakes import quiet_lengths

LENGTHS = quiet_lengths()
LIMITS = Limits(think_s=(12, 30), warm_up_s=(60, 240), fewest_rounds=2, most_rounds=20)


def _lesson(rounds: int, *, think_s: int = 12, warm_up_s: int = 60) -> Lesson:
    return Lesson(
        rounds=tuple(Round(time=ClockTime(hour % 12 + 1, 15)) for hour in range(rounds)),
        think_seconds=think_s,
        practice=Practice(skip=True),
        opening=Opening(warm_up=("march", "knee-lifts"), warm_up_seconds=warm_up_s),
    )


def _perform(lesson: Lesson) -> tuple[CallLayout, ...]:
    return LENGTHS.layouts(make_run_sheet(lesson))


def _fit(seconds: float, limits: Limits = LIMITS) -> Fit:
    return fit(_lesson, _perform, seconds=seconds, limits=limits, warm_up_share=1.0)


@pytest.mark.parametrize("seconds", [500, 740, 900, 1200, 1800])
def test_a_fitted_lesson_is_as_long_as_asked_and_within_its_limits(seconds: float) -> None:
    found = _fit(seconds)
    assert LIMITS.think_s[0] <= found.think_s <= LIMITS.think_s[1]
    assert LIMITS.warm_up_s[0] <= found.warm_up_s <= LIMITS.warm_up_s[1]
    lesson = _lesson(found.rounds, think_s=found.think_s, warm_up_s=found.warm_up_s)
    assert total_s(_perform(lesson)) == pytest.approx(seconds, abs=1.0)


def test_of_all_that_fit_with_so_many_rounds_the_most_active_one_is_taken() -> None:
    found = _fit(1200)
    rest_s = 1200 - found.rounds * found.think_s - found.warm_up_s
    others = [(think_s, 1200 - rest_s - found.rounds * think_s) for think_s in range(12, 31)]
    active = [
        think_s * found.rounds + warm_up_s
        for think_s, warm_up_s in others
        if LIMITS.warm_up_s[0] <= warm_up_s <= LIMITS.warm_up_s[1]
    ]
    assert found.think_s * found.rounds + found.warm_up_s >= max(active) - 1


def test_fewest_rounds_that_take_too_long_are_told() -> None:
    with pytest.raises(NoFitError) as told:
        _fit(120)
    assert str(told.value).startswith("No lesson fits 2 minutes here: 2 rounds would take ")


def test_most_rounds_that_are_over_too_soon_are_told() -> None:
    few = Limits(think_s=(12, 30), warm_up_s=(60, 240), fewest_rounds=1, most_rounds=2)
    with pytest.raises(NoFitError, match="No lesson fits 30 minutes here: 2 rounds would take"):
        _fit(1800, few)

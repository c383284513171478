from __future__ import annotations

import pytest

from caller.clock import ClockTime
from caller.lesson import Lesson, Practice, Round
from caller.planning.fitting import TOLERANCE_S, Limits, NoFitError, fit
from caller.planning.lengths import total_s
from caller.runsheet.sequence import make_run_sheet
from caller.timeline import CallLayout
from tests.planning.fakes import quiet_lengths

LENGTHS = quiet_lengths()
LIMITS = Limits(think_s=(16, 34), usual_think_s=28, warm_up_s=(60, 120, 240), fewest_rounds=2, most_rounds=30)


def _lesson(rounds: int) -> Lesson:
    return Lesson(
        rounds=tuple(Round(time=ClockTime(hour % 12 + 1, 15)) for hour in range(rounds)),
        practice=Practice(skip=True),
        calm_last_round=False,
    )


def _perform(lesson: Lesson) -> tuple[CallLayout, ...]:
    return LENGTHS.layouts(make_run_sheet(lesson))


def _fit(seconds: float, limits: Limits = LIMITS) -> Lesson:
    return fit(_lesson, _perform, seconds=seconds, limits=limits)


@pytest.mark.parametrize("seconds", [500, 700, 740, 900, 1200, 1800])
def test_a_fitted_lesson_is_as_long_as_asked_and_within_its_limits(seconds: float) -> None:
    found = _fit(seconds)
    least_s, _, most_s = LIMITS.warm_up_s
    assert least_s <= found.opening.warm_up_seconds <= most_s
    if found.think_seconds is not None:
        assert LIMITS.think_s[0] <= found.think_seconds <= LIMITS.think_s[1]
    assert total_s(_perform(found)) == pytest.approx(seconds, abs=TOLERANCE_S)


@pytest.mark.parametrize("seconds", [700, 900, 1200])
def test_one_more_clock_would_be_too_long(seconds: float) -> None:
    """With the shortest warm-up and the usual bouts, so that clocks come before length."""
    found = _fit(seconds)
    more = _lesson(len(found.rounds) + 2)
    assert total_s(_perform(more)) > seconds


def test_fewest_rounds_that_take_too_long_are_told() -> None:
    with pytest.raises(NoFitError) as told:
        _fit(120)
    assert str(told.value).startswith("No lesson fits 2 minutes here: 2 rounds would take about ")


def test_most_rounds_that_are_over_too_soon_are_told() -> None:
    few = Limits(think_s=(16, 34), usual_think_s=28, warm_up_s=(60, 120, 240), fewest_rounds=1, most_rounds=2)
    with pytest.raises(NoFitError, match="No lesson fits 30 minutes here: 2 rounds would take about"):
        _fit(1800, few)

from __future__ import annotations

from collections import Counter
from random import Random
from typing import TypeVar

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caller.clock import ALL_TIMES, ClockError, ClockTime, DayTime, smallest_difference_deg
from caller.clock.beyond_dial import wrong_durations, wrong_ends
from caller.clock.fair import (
    DURATIONS,
    EVEN_WITHIN,
    Shares,
    day_partners,
    drawn,
    duration_partners,
    end_partners,
    even_shares,
    partners,
)
from caller.clock.ladder import STEPS, Step

BOTH = ("analogue", "digital")
AT = ClockTime.parse


Answer = TypeVar("Answer", ClockTime, DayTime, int)


def are_even(shares: Shares[Answer], *, within: float = 1e-6) -> None:
    for answer, beside in shares.items():
        assert sum(beside.values()) == pytest.approx(1.0, abs=within)
        assert answer not in beside
        for other, share in beside.items():
            assert shares[other][answer] == pytest.approx(share)


@pytest.mark.parametrize("step", STEPS, ids=lambda step: str(step.code))
def test_two_readings_stand_together_as_often_whichever_is_right(step: Step) -> None:
    beside = partners(step, BOTH, 6.0)
    assert len(beside) == 12 * len(step.minutes)
    are_even(beside)
    assert all(smallest_difference_deg(time, other) >= 6.0 for time in beside for other in beside[time])


@settings(max_examples=25)
@given(st.sampled_from(STEPS[:5]), st.floats(6.0, 180.0), st.sampled_from([BOTH, ("halves",), ("digital",)]))
def test_readings_are_even_in_every_hall(step: Step, degrees: float, manners: tuple[str, ...]) -> None:
    shares = partners.__wrapped__(step, manners, degrees)
    for beside in shares.values():
        assert not beside or sum(beside.values()) == pytest.approx(1.0, abs=EVEN_WITHIN)


@settings(max_examples=15)
@given(st.integers(-132, 132).filter(bool).map(lambda fives: 5 * fives), st.sampled_from(ALL_TIMES))
def test_ends_are_even_and_never_the_start(change: int, end: ClockTime) -> None:
    shares = end_partners.__wrapped__(change, end.minute)
    are_even(shares)
    assert end.plus(-change) not in shares[end]
    assert set(wrong_ends(end.plus(-change), change)) - {end.plus(change)} <= shares[end].keys()


@settings(max_examples=15)
@given(st.sampled_from(ALL_TIMES[::5]), st.integers(1, 132).map(lambda fives: 5 * fives))
def test_lengths_are_even_and_hold_the_documented_mistakes(start: ClockTime, minutes: int) -> None:
    shares = duration_partners.__wrapped__(start, minutes)
    are_even(shares, within=EVEN_WITHIN)
    assert minutes in shares
    told = {
        each for each, names in wrong_durations(start, start.plus(minutes)).items() if names != {"wrong-way"}
    }
    assert told & shares.keys() <= shares[minutes].keys()


def test_a_frequent_wrong_length_often_stands_beside_the_right_one() -> None:
    # Kamii & Russell 2012: from 8:30 to 11:00 many answered 3 h 30.
    shares = duration_partners(AT("8:30"), 150)
    assert max(shares[150], key=lambda each: shares[150][each]) == 210
    assert set(shares) == set(DURATIONS)


@pytest.mark.parametrize("minute", range(0, 60, 7))
def test_times_of_day_are_even_and_hold_the_documented_mistakes(minute: int) -> None:
    shares = day_partners(minute)
    are_even(shares)
    assert shares[DayTime(19, minute)].keys() >= {DayTime(7, minute), DayTime(17, minute)}


def test_a_slip_stands_beside_its_time_often_and_in_both_directions() -> None:
    half_past = partners(next(step for step in STEPS if step.code == "half-past"), BOTH, 6.0)
    by_long_hand, plain = half_past[ClockTime(9, 30)][ClockTime(6, 30)], half_past[ClockTime(9, 30)]
    assert by_long_hand > plain[ClockTime(2, 30)]
    assert half_past[ClockTime(6, 30)][ClockTime(9, 30)] == pytest.approx(by_long_hand)


def test_shares_that_cannot_be_even_are_refused() -> None:
    # Two answers that may each stand beside a third one alone: it would have to be offered twice as often.
    with pytest.raises(ClockError, match="cannot stand together evenly"):
        even_shares((1, 2, 3), {(1, 2): 1.0, (3, 2): 1.0})


def test_of_three_each_is_right_as_often() -> None:
    # Where one pair is much likelier than the others, drawing only the last one anew favoured it.
    shares = even_shares(range(6), {(n, (n + 1) % 6): 8.0 if n % 2 else 1.0 for n in range(6)})
    found = Counter[tuple[tuple[int, ...], int]]()
    first_is_less = 0
    chance = Random(5)
    for _ in range(6_000):
        right = chance.randrange(6)
        wrong = drawn(right, shares, 2, chance, fits=lambda _answer, _chosen: True)
        found[tuple(sorted((right, *wrong))), right] += 1
        first_is_less += shares[right].get(wrong[0], 0.0) < shares[right].get(wrong[1], 0.0)
    for three in {three for three, _ in found}:
        times = [found[three, right] for right in three]
        assert max(times) - min(times) < 5 * (sum(times) / 3) ** 0.5
    # Nor does the order of the wrong ones tell which of them stands beside the right one.
    assert 2_500 < first_is_less < 3_500

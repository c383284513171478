from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.record import RoundKept, Tally, observed
from caller.record.observed import Evidence, evidence, known_share, log_likelihood, right_share, skill_of
from tests.record.conftest import a_round


def test_nineteen_of_twenty_five_right_are_half_known_with_two_choices() -> None:
    """The standard correction for guessing, 2 c - 1: 76 per cent right are 52 per cent known."""
    assert known_share(19 / 25, 1 / 2) == pytest.approx(0.52)
    assert known_share(2 / 3, 1 / 3) == pytest.approx(0.5)
    assert known_share(0.4, 1 / 2) == 0.0


def test_a_count_of_those_who_missed_it_is_a_share_to_half_a_child() -> None:
    assert right_share(Tally(missed=6), 25) == pytest.approx((18.5 / 25, 19.5 / 25))
    assert right_share(Tally(missed=0), 25) == pytest.approx((24.5 / 25, 1.0))
    assert right_share(Tally(missed=40), 25) == (0.0, 0.5 / 25)


@pytest.mark.parametrize("right", [0.55, 0.6, 0.76, 0.9])
def test_a_counted_tally_is_as_likely_as_the_binomial_of_the_guessers_says(
    right: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Against the binomial in its own words, where nobody copies; the normal is near it, not exact."""
    monkeypatch.setattr(observed, "COPIERS", 0.0)
    monkeypatch.setattr(observed, "ROUND_SD", 0.0)
    guessing = 2.0 * (1.0 - right)
    guessers = round(25 * guessing)
    lucky = 19 - (25 - guessers)
    exact = math.comb(guessers, lucky) * 0.5**guessers if lucky >= 0 else 0.0
    right = 1.0 - guessers / 50
    seen = Evidence(
        skill="quarters", mixups=frozenset(), by_guessing=0.5,
        low=18.5 / 25, high=19.5 / 25, slack=0.0, children=25,
    )  # fmt: skip
    told = log_likelihood(seen, np.array([right]), np.array([guessers / 25]))
    assert math.exp(told.item()) == pytest.approx(exact, abs=0.03)


def test_a_quarter_that_looks_at_a_neighbour_moves_a_count_by_a_child_or_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Where nobody guesses and rounds are alike, all chance in a count is theirs: a quarter's binomial."""
    monkeypatch.setattr(observed, "ROUND_SD", 0.0)

    def told(missing: int) -> float:
        seen = Evidence(
            skill="quarters", mixups=frozenset(), by_guessing=0.5,
            low=(17 - missing) / 25, high=(18 - missing) / 25, slack=0.0, children=25,
        )  # fmt: skip
        return log_likelihood(seen, np.array([0.7]), np.array([0.0])).item()

    spread = 2.0 / math.sqrt(
        2.0 * (told(0) - told(2))
    )  # children, of a normal: two of them away from the mean
    assert spread == pytest.approx(math.sqrt(25 * 0.25 * 0.7 * 0.3), abs=0.1)


def test_copying_adds_chance_and_no_knowledge() -> None:
    """Where a quarter looks at a neighbour first, a count far from the expected one can happen."""
    seen = Evidence(
        skill="quarters", mixups=frozenset(), by_guessing=0.5, low=0.66, high=0.70, slack=0.0, children=25,
    )  # fmt: skip
    told = log_likelihood(seen, np.array([0.9, 0.8]), np.array([0.2, 0.4]))
    assert math.exp(told[0]) > 1e-4
    assert told[0] < told[1]


def test_judgements_together_cover_every_share() -> None:
    shares = [right_share(Tally(judgement=judgement), 25) for judgement in ("few", "half", "most")]
    assert [share[0] for share in shares] + [1.0] == [0.0] + [share[1] for share in shares]


def test_an_untallied_round_tells_nothing() -> None:
    assert evidence(a_round(1, "9:30", "10:30", None, 0.0)) is None


def test_a_wrong_reading_counts_for_every_mixup_that_explains_it() -> None:
    """The rules E3 and E4 give the same wrong time past the half hour: one answer cannot tell them apart."""
    seen = evidence(a_round(1, "7:45", "8:45", Tally(judgement="few"), 0.0))
    assert seen is not None
    assert seen.mixups == {"hour-to-nearest", "hour-to-larger"}


def test_an_easy_clock_in_a_harder_lesson_tells_of_the_easy_step() -> None:
    assert skill_of(a_round(1, "9:00", "12:45", None, 0.0)) == "o-clock"
    assert skill_of(a_round(1, "9:30", "10:30", None, 0.0)) == "half-past"


def counted_by_ear(kept: RoundKept, chances: tuple[float, ...]) -> Evidence:
    seen = evidence(replace(kept, heard=chances), 25)
    assert seen is not None
    return seen


def test_a_count_that_an_ear_is_sure_of_tells_what_a_teachers_count_tells() -> None:
    kept = a_round(1, "7:45", "8:45", None, 0.0)
    right, guessing = np.linspace(0.02, 0.98, 25), np.full(25, 0.3)
    sure = tuple(float(count == 19) for count in range(26))
    exact = evidence(replace(kept, tally=Tally(missed=6)), 25)
    assert exact is not None
    np.testing.assert_allclose(
        log_likelihood(counted_by_ear(kept, sure), right, guessing), log_likelihood(exact, right, guessing)
    )


def test_an_ear_that_heard_nothing_tells_nothing() -> None:
    kept = a_round(1, "7:45", "8:45", None, 0.0)
    alike = log_likelihood(
        counted_by_ear(kept, (1 / 26,) * 26), np.linspace(0.02, 0.98, 25), np.full(25, 0.3)
    )
    assert np.ptp(alike) < 1e-6


@given(st.lists(st.floats(0.0, 1.0), min_size=26, max_size=26).filter(lambda chances: sum(chances) > 0.1))
def test_what_is_heard_is_the_mixture_of_what_each_count_would_tell(weights: list[float]) -> None:
    kept = a_round(1, "7:45", "8:45", None, 0.0)
    chances = tuple(each / sum(weights) for each in weights)
    right, guessing = np.array([0.2, 0.5, 0.9]), np.full(3, 0.2)
    exact = [evidence(replace(kept, tally=Tally(missed=25 - count)), 25) for count in range(26)]
    each = [log_likelihood(seen, right, guessing) for seen in exact if seen is not None]
    mixed = sum(chance * np.exp(of) for chance, of in zip(chances, each, strict=True))
    np.testing.assert_allclose(
        np.exp(log_likelihood(counted_by_ear(kept, chances), right, guessing)), mixed, atol=3e-5
    )


def test_a_teachers_tally_outranks_an_ear() -> None:
    kept = replace(a_round(1, "7:45", "8:45", Tally(judgement="few"), 0.0), heard=(0.0,) * 25 + (1.0,))
    assert evidence(kept, 25) == evidence(replace(kept, heard=None), 25)

"""From a tally to evidence: which share of a class had it, how sure that is, and what guessing explains."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from caller.clock.ladder import step_of
from caller.questions import question_kind
from caller.record.model import USUAL_PRESENT, Judgement, RoundKept, Tally

SHARES: Final[Mapping[Judgement, tuple[float, float]]] = MappingProxyType(
    {"few": (0.0, 0.4), "half": (0.4, 0.7), "most": (0.7, 1.0)}
)
"""Which share of the class each judgement means.

Above 70 per cent a class may go on, and below 30 it is told again (Crouch & Mazur 2001, from memory). The
lower border stands at 40 because with two choices half are right by guessing: fewer than that is a mix-up
at work. Own choice.
"""

GLANCE_SD: Final = 0.1
"""How far a teacher's glance over the hall may be out, as a share of the class. Own choice."""

COPYING: Final = 3.0
"""Children who look at their neighbours are not as many answers: the class counts as so many times smaller.
Copying breaks independence; how much is our own choice."""

_LEAST_LIKELY = 1e-6  # a miscount must not rule anything out


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One tallied round as the model takes it.

    Attributes
    ----------
    skill
        The step of the ladder that the clock asked for, or "elapsed" or "day-parts".
    mixups
        All mix-ups that lead to one of the wrong readings offered.
    by_guessing
        The share that is right by guessing: a half of two choices, a third of three.
    low, high
        The share that had it lies between these.
    slack
        Standard deviation of the teller's own error.
    children
        How many independent answers the class counts as.
    """

    skill: str
    mixups: frozenset[str]
    by_guessing: float
    low: float
    high: float
    slack: float
    children: float


def right_share(tally: Tally, present: int) -> tuple[float, float]:
    """Return between which shares of the class had it, from 0 to 1."""
    if tally.missed is not None:
        right = max(present - tally.missed, 0)
        return max(right - 0.5, 0.0) / present, min(right + 0.5, present) / present
    assert tally.judgement is not None  # a tally is one or the other
    return SHARES[tally.judgement]


def known_share(right: float, by_guessing: float) -> float:
    """Return the share that knows, where `right` answered rightly: (right - g) / (1 - g), at least 0.

    The standard correction for guessing: with two choices 2 c - 1, so 19 of 25 right are 52 per cent known.
    """
    return max((right - by_guessing) / (1.0 - by_guessing), 0.0)


def evidence(kept: RoundKept, present: int = USUAL_PRESENT) -> Evidence | None:
    """Return what a round tells, or None where it was not tallied or had no wrong answer."""
    if kept.tally is None or not (kept.wrong or question_kind(kept.question).choices == "two"):
        return None
    low, high = right_share(kept.tally, present)
    return Evidence(
        skill=skill_of(kept),
        mixups=frozenset().union(*(each.mixups for each in kept.wrong)),
        by_guessing=1.0 / (1 + max(len(kept.wrong), 1)),
        low=low,
        high=high,
        slack=0.0 if kept.tally.missed is not None else GLANCE_SD,
        children=present / COPYING,
    )


def skill_of(kept: RoundKept) -> str:
    """Return the step of the ladder that a round asked for; a clock may be easier than its lesson."""
    return question_kind(kept.question).skill or step_of(kept.time).code


def log_likelihood(seen: Evidence, right: float) -> float:
    """Return the log probability of the tally where each answer is right with probability `right`.

    The count right is binomial; it is taken as normal with the same mean and variance, widened by the
    teller's own error.
    """
    right = min(max(right, 1e-4), 1.0 - 1e-4)
    spread = math.sqrt(right * (1.0 - right) / seen.children + seen.slack**2)
    # The ends of the scale take all that lies beyond them.
    below = 0.0 if seen.low <= 0.0 else _normal_cdf((seen.low - right) / spread)
    above = 1.0 if seen.high >= 1.0 else _normal_cdf((seen.high - right) / spread)
    return math.log(max(above - below, _LEAST_LIKELY))


def _normal_cdf(x: float) -> float:
    return math.erfc(-x / math.sqrt(2.0)) / 2.0

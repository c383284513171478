"""From a tally to evidence: which share of a class had it, how sure that is, and what guessing explains."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.clock.ladder import step_of
from caller.questions import question_kind
from caller.record import USUAL_PRESENT, Judgement, RoundKept, Tally

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

COPIERS: Final = 0.25
"""The share of a class that looks at a neighbour first, and so adds chance and no knowledge. Own choice."""

ROUND_SD: Final = 0.08
"""How far the share that is right moves from round to round by what no model holds: a noise in the hall,
a move that tempts. Own choice."""

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
        How many answered.
    chances
        Counted by ear: how likely every count from 0 to all children is. The interval is then not looked at.
    """

    skill: str
    mixups: frozenset[str]
    by_guessing: float
    low: float
    high: float
    slack: float
    children: int
    chances: tuple[float, ...] = ()


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
    told = kept.tally is not None or kept.heard is not None
    if not told or not (kept.wrong or question_kind(kept.question).choices == "two"):
        return None
    # Somebody who has counted, or looked, knows more than an ear.
    tally = kept.tally
    low, high = (0.0, 1.0) if tally is None else right_share(tally, present)
    return Evidence(
        skill=skill_of(kept),
        mixups=frozenset().union(*(each.mixups for each in kept.wrong)),
        by_guessing=1.0 / (1 + max(len(kept.wrong), 1)),
        low=low,
        high=high,
        slack=GLANCE_SD if tally is not None and tally.missed is None else 0.0,
        children=max(present, 1),
        chances=(kept.heard or ()) if tally is None else (),
    )


def skill_of(kept: RoundKept) -> str:
    """Return the step of the ladder that a round asked for; a clock may be easier than its lesson."""
    return question_kind(kept.question).skill or step_of(kept.time).code


def log_likelihood(
    seen: Evidence, right: NDArray[np.float64], guessing: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the log probability of the tally, one value for each of `right`.

    Parameters
    ----------
    right
        The probability of a right answer.
    guessing
        The share that guesses: who knows answers the same each time, so that only guessers and copiers vary.

    The count right is taken as normal, with the binomial variance of guessers and of copiers, widened by what
    moves from round to round and by the teller's own error.
    """
    right = np.clip(right, 1e-4, 1.0 - 1e-4)
    guessed = guessing * seen.by_guessing * (1.0 - seen.by_guessing)
    variance = ((1.0 - COPIERS) * guessed + COPIERS * right * (1.0 - right)) / seen.children
    spread = np.sqrt(variance + ROUND_SD**2 + seen.slack**2)
    if seen.chances:
        return _of_chances(seen.chances, right, spread)
    # The ends of the scale take all that lies beyond them.
    below = 0.0 if seen.low <= 0.0 else _normal_cdf((seen.low - right) / spread)
    above = 1.0 if seen.high >= 1.0 else _normal_cdf((seen.high - right) / spread)
    return np.asarray(np.log(np.maximum(above - below, _LEAST_LIKELY)))


def _of_chances(
    chances: tuple[float, ...], right: NDArray[np.float64], spread: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the log probability of what was heard: of every count, weighed by how likely it was that count.

    All counts were as likely before anything was heard (`caller.hall.clap_share`), so that the chances are
    the likelihood of the sound itself.
    """
    counts = len(chances) - 1
    edges = (np.arange(counts + 2) - 0.5) / counts
    below = _normal_cdf((edges - right[..., None]) / spread[..., None])
    below[..., 0], below[..., -1] = 0.0, 1.0  # the ends of the scale take all that lies beyond them
    likely = np.diff(below, axis=-1) @ np.asarray(chances)
    return np.asarray(np.log(np.maximum(likely, _LEAST_LIKELY)))


def _normal_cdf(x: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the normal distribution function, within 2e-7 (Abramowitz & Stegun 1964, 7.1.26)."""
    z = np.abs(x) / math.sqrt(2.0)
    t = 1.0 / (1.0 + 0.3275911 * z)
    series = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))))
    tail = 0.5 * series * np.exp(-(z**2))
    return np.where(x > 0.0, 1.0 - tail, tail)

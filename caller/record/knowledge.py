"""What a class can read by now: a share for every step and mix-up, with its uncertainty and forgetting.

The model. On step s a share k of the class knows; a share m mistakes the clock in the way that a wrong
reading offers; all others guess among c choices. So a round is answered rightly with the probability

    (1 - m) (k + (1 - k) / c),        m = 1 - product over the reading's mix-ups of (1 - m_i),

which corrects for guessing and charges a wrong reading to the whole set of mix-ups that explain it. The
shares' logits are jointly normal: neighbouring steps of the ladder go together. After each lesson the
normal is fitted to the posterior by Newton's method (Laplace's approximation); between lessons it forgets.

Forgetting. A share known falls as k 2^(-days / h), and the half-life h doubles when a step was known and
halves when it was not: half-life regression, Settles & Meeder 2016, Proc. ACL, 1848-1858,
doi 10.18653/v1/P16-1174 (curve seen in copies; doubling and halving from memory). No study of clock reading
spaced through lessons in a hall is known to us, so the first half-life is our own choice. Mix-ups do not fade
by themselves; only what is known of them does.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.clock.ladder import STEP_CODES
from caller.clock.times import ClockTime
from caller.record.model import LessonKept
from caller.record.observed import Evidence, evidence, log_likelihood

FloatArray = NDArray[np.float64]

DAY_S: Final = 86_400.0
FIRST_HALF_LIFE_DAYS: Final = 21.0  # own choice: a class that meets weekly keeps four fifths of a new step
HALF_LIFE_DAYS: Final = (3.0, 365.0)
KNOWN_WELL: Final = 0.6  # 80 per cent right of two choices (Rosenshine 2012, from memory), less guessing
KNOWN_POORLY: Final = 0.3
SURE: Final = 0.9  # the share of cases in which the truth lies within `low` and `high`

# Priors, as logits: own choices, wide enough for any class.
_FIRST_STEP = (1.0, 1.3)
_NEXT_STEP = (-0.7, 0.7)
_MIXUP = (-1.9, 1.1)
_LEARNT_IN_A_LESSON_SD = 0.35  # a class is not the same after a lesson as before it
_MIXUP_CHANGE_SD = 0.25
_DRIFT_SD_A_DAY = 0.06
_MIXUP_MEMORY_DAYS = 90.0  # what was seen of a mix-up so long ago tells a third as much


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A share of the class from 0 to 1: the mean, and what it lies between in nine cases of ten."""

    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Knowledge:
    """What a class can read on a day.

    Attributes
    ----------
    steps, mixups
        Every step, and every mix-up that was ever offered.
    steps_days, mixups_days, times_days
        How many days ago each was last practised, offered or shown; those never are left out.
    half_life_days
        After how long half of what is known of a step would be lost, for steps that were tallied.
    """

    steps: Mapping[str, Estimate]
    mixups: Mapping[str, Estimate]
    steps_days: Mapping[str, float]
    mixups_days: Mapping[str, float]
    times_days: Mapping[ClockTime, float]
    half_life_days: Mapping[str, float]

    @property
    def known(self) -> dict[str, float]:
        """For every step that was tallied, the share that can read it today."""
        return {step: self.steps[step].mean for step in self.half_life_days}

    @property
    def confused(self) -> dict[str, float]:
        """For every mix-up that was offered, the share that shows it."""
        return {name: each.mean for name, each in self.mixups.items()}


@dataclass(slots=True)
class _Belief:
    """A normal over the logits of all shares: steps first, then mix-ups."""

    names: tuple[str, ...]
    mean: FloatArray
    cov: FloatArray


def know(lessons: Sequence[LessonKept], now_s: float) -> Knowledge:
    """Return what the class of these lessons, the earliest first, can read at `now_s`."""
    lessons = [lesson for lesson in lessons if lesson.rounds]
    belief = _prior(_mixups_of(lessons))
    half_life: dict[str, float] = {}
    seen: dict[str, float] = {}  # when each step and mix-up was last met
    times: dict[ClockTime, float] = {}
    before_s: float | None = None
    for lesson in lessons:
        at_s = min(lesson.rounds[-1].at_s, now_s)
        if before_s is not None:
            _forget(belief, half_life, (at_s - before_s) / DAY_S)
        told = [each for each in (evidence(kept, lesson.present) for kept in lesson.rounds) if each]
        _learn(belief, told)
        _lengthen(belief, half_life, seen, told, at_s)
        for kept in lesson.rounds:
            times[kept.time] = at_s
        for each in told:
            seen |= dict.fromkeys((each.skill, *each.mixups), at_s)
        before_s = at_s
    if before_s is not None:
        _forget(belief, half_life, max(now_s - before_s, 0.0) / DAY_S)
    estimates = _estimates(belief)
    days = {name: max(now_s - at_s, 0.0) / DAY_S for name, at_s in seen.items()}
    return Knowledge(
        steps=MappingProxyType({step: estimates[step] for step in STEP_CODES}),
        mixups=MappingProxyType({name: estimates[name] for name in belief.names[len(STEP_CODES) :]}),
        steps_days=MappingProxyType({name: ago for name, ago in days.items() if name in STEP_CODES}),
        mixups_days=MappingProxyType({name: ago for name, ago in days.items() if name not in STEP_CODES}),
        times_days=MappingProxyType({time: max(now_s - at_s, 0.0) / DAY_S for time, at_s in times.items()}),
        half_life_days=MappingProxyType(half_life),
    )


def retained(days: float, half_life_days: float) -> float:
    """Return which part of what was known is left: 2^(-days / half-life), Settles & Meeder 2016."""
    return float(2.0 ** (-days / half_life_days))


def _share(logit: FloatArray | float) -> FloatArray:
    """Return the share that a logit stands for."""
    return np.asarray(1.0 / (1.0 + np.exp(-np.asarray(logit, dtype=np.float64))))


def _mixups_of(lessons: Iterable[LessonKept]) -> tuple[str, ...]:
    told = (evidence(kept) for lesson in lessons for kept in lesson.rounds)
    return tuple(sorted(frozenset().union(*(each.mixups for each in told if each))))


def _prior(mixups: tuple[str, ...]) -> _Belief:
    """Neighbouring steps go together: each is the one below it, somewhat less known, give or take."""
    steps = len(STEP_CODES)
    mean = np.concatenate(
        [_FIRST_STEP[0] + _NEXT_STEP[0] * np.arange(steps), np.full(len(mixups), _MIXUP[0])]
    )
    cov = np.diag(np.full(steps + len(mixups), _MIXUP[1] ** 2))
    order = np.arange(steps)
    cov[:steps, :steps] = _FIRST_STEP[1] ** 2 + _NEXT_STEP[1] ** 2 * np.minimum.outer(order, order)
    return _Belief((*STEP_CODES, *mixups), mean, cov)


def _forget(belief: _Belief, half_life: Mapping[str, float], days: float) -> None:
    """Move the belief on by `days`: shares known fall by their half-lives, old mix-ups become unsure."""
    if days <= 0.0:
        return
    slope = np.ones(len(belief.names))
    for index, name in enumerate(belief.names):
        if name in half_life:
            before = float(_share(belief.mean[index]))
            after = before * retained(days, half_life[name])
            slope[index] = retained(days, half_life[name]) * before * (1 - before) / (after * (1 - after))
            belief.mean[index] = float(np.log(after / (1 - after)))
    steps = len(STEP_CODES)
    kept = np.exp(-days / _MIXUP_MEMORY_DAYS)
    belief.mean[steps:] = _MIXUP[0] + kept * (belief.mean[steps:] - _MIXUP[0])
    slope[steps:] = kept
    noise = np.full(len(belief.names), _DRIFT_SD_A_DAY**2 * days)
    noise[steps:] = _MIXUP[1] ** 2 * (1 - kept**2)
    belief.cov = belief.cov * np.outer(slope, slope) + np.diag(noise)


def _learn(belief: _Belief, told: Sequence[Evidence]) -> None:
    """Take in the tallies of one lesson."""
    if not told:
        return
    steps = len(STEP_CODES)
    change = np.full(len(belief.names), _MIXUP_CHANGE_SD**2)
    change[:steps] = _LEARNT_IN_A_LESSON_SD**2
    prior, precision = belief.mean, np.linalg.inv(belief.cov + np.diag(change))
    places = [_places(belief, each) for each in told]

    def cost(x: FloatArray) -> float:
        fit = sum(
            log_likelihood(each, _right(x, place, each)[0]) for each, place in zip(told, places, strict=True)
        )
        return float(0.5 * (x - prior) @ precision @ (x - prior) - fit)

    x = prior.copy()
    for _ in range(40):
        gradient, curvature = precision @ (x - prior), precision.copy()
        for each, place in zip(told, places, strict=True):
            right, slopes = _right(x, place, each)
            first, second = _derivatives(each, right)
            gradient[place] -= first * slopes
            curvature[np.ix_(place, place)] += max(-second, 0.0) * np.outer(slopes, slopes)
        step = np.linalg.solve(curvature, gradient)
        size, now = 1.0, cost(x)
        while size > 1e-4 and cost(x - size * step) > now:
            size /= 2
        x = x - size * step
        if np.abs(size * step).max() < 1e-4:
            break
    belief.mean, belief.cov = x, np.linalg.inv(curvature)


def _places(belief: _Belief, seen: Evidence) -> list[int]:
    return [belief.names.index(seen.skill), *(belief.names.index(name) for name in sorted(seen.mixups))]


def _right(x: FloatArray, place: list[int], seen: Evidence) -> tuple[float, FloatArray]:
    """Return the probability of a right answer, and its slope along the logits at `place`."""
    shares = _share(x[place])
    known, mixed = shares[0], shares[1:]
    free = float(np.prod(1.0 - mixed))
    answers = float(known + (1.0 - known) * seen.by_guessing)
    slopes = np.empty(len(place))
    slopes[0] = free * (1.0 - seen.by_guessing) * known * (1.0 - known)
    slopes[1:] = -free * answers * mixed
    return free * answers, slopes


def _derivatives(seen: Evidence, right: float, step: float = 1e-3) -> tuple[float, float]:
    here = min(max(right, 2 * step), 1.0 - 2 * step)
    below, middle, above = (log_likelihood(seen, here + by) for by in (-step, 0.0, step))
    return (above - below) / (2 * step), (above - 2 * middle + below) / step**2


def _lengthen(
    belief: _Belief,
    half_life: dict[str, float],
    seen: Mapping[str, float],
    told: Sequence[Evidence],
    at_s: float,
) -> None:
    """Double the half-life of what was still known, and halve that of what was not."""
    for skill in {each.skill for each in told}:
        share = float(_share(belief.mean[belief.names.index(skill)]))
        days = half_life.setdefault(skill, FIRST_HALF_LIFE_DAYS)
        if skill in seen and at_s - seen[skill] > DAY_S / 2:
            factor = 2.0 if share >= KNOWN_WELL else 0.5 if share < KNOWN_POORLY else 1.0
            half_life[skill] = min(max(days * factor, HALF_LIFE_DAYS[0]), HALF_LIFE_DAYS[1])


def _estimates(belief: _Belief) -> dict[str, Estimate]:
    nodes, weights = np.polynomial.hermite_e.hermegauss(15)
    spread = np.sqrt(np.diag(belief.cov))
    means = _share(belief.mean[:, None] + spread[:, None] * nodes) @ (weights / weights.sum())
    reach = NormalDist().inv_cdf((1 + SURE) / 2)
    return {
        name: Estimate(
            mean=float(mean),
            low=float(_share(centre - reach * sd)),
            high=float(_share(centre + reach * sd)),
        )
        for name, mean, centre, sd in zip(belief.names, means, belief.mean, spread, strict=True)
    }

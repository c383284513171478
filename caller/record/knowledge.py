"""What a class can read by now: a share for every step and mix-up, with its uncertainty and forgetting.

The model. On step s a share k of the class knows; a share m mistakes the clock in the way that a wrong
reading offers; all others guess among c choices. So a round is answered rightly with the probability

    (1 - m) (k + (1 - k) / c),        m = 1 - product over the reading's mix-ups of (1 - m_i),

which corrects for guessing and charges a wrong reading to the whole set of mix-ups that explain it.

What is believed is a few thousand possible classes, each with its own shares and half-lives, that are
weighed by each tally and drawn anew after each lesson (a particle filter: Gordon, Salmond & Smith 1993, IEE
Proc. F 140:107-113, from memory). No approximation by a normal is made, so nothing is absorbed at 0 or 1;
and in every lesson some possible classes start afresh, so that no date, however wrong, and no run of bad
lessons rules a class out for good. The possible classes are drawn from one fixed seed: the same lessons
tell the same.

Learning. What a lesson has taught shows in no tally of its own: from its end on, what is known of its
steps moves up a little and doubt widens, until the next tallies. So the interval speaks of what children can
read on the day it is asked for, not of the last tally (own choice, held to simulated classes in tests).

Forgetting. A share known falls as k 2^(-days / h): half-life regression, Settles & Meeder 2016, Proc. ACL,
1848-1858, doi 10.18653/v1/P16-1174 (curve seen in copies). The half-life grows by up to a factor of two
when a step was still known after a gap as long as the half-life itself, and less after a shorter gap:
practice that is spaced lasts, lessons on one day after another hardly do (spaced against massed: Latimier
et al. 2021, Educ. Psychol. Rev. 33:959, abstract). How it grows with the gap is our own choice, and so is
the first half-life: no study of clock reading spaced through lessons in a hall is known to us. Mix-ups do
not fade by themselves; only what is known of them does.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.clock import ClockTime
from caller.clock.ladder import STEP_CODES
from caller.record import LessonKept
from caller.record.observed import Evidence, evidence, log_likelihood

_Floats = NDArray[np.float64]

DAY_S: Final = 86_400.0
FIRST_HALF_LIFE_DAYS: Final = 21.0  # own choice: a class that meets weekly keeps four fifths of a new step
HALF_LIFE_DAYS: Final = (5.0, 365.0)
KNOWN_WELL: Final = 0.6  # 80 per cent right of two choices (Rosenshine 2012, from memory), less guessing
SURE: Final = 0.9  # the share of cases in which the truth lies within `low` and `high`

_CLASSES: Final = 4_000  # possible classes; the error of a mean is then some 0.005
_SEED: Final = 1

# Priors, as logits: own choices, wide enough for any class.
_FIRST_STEP = (1.0, 1.5)
_NEXT_STEP = (-0.4, 1.0)
_MIXUP = (-2.4, 1.5)
_LOGIT_BOUND = 6.0  # shares from 1 to 399 in four hundred
_HALF_LIFE_SD = 0.7  # of its natural logarithm
_LEARNT_IN_A_LESSON = (0.3, 0.5)  # mean and spread: what a lesson has taught, nobody has yet been asked
_MIXUP_CHANGE_SD = 0.25
# What was seen so long ago tells a third as much: children learn outside the hall too. Own choices.
_MIXUP_MEMORY_DAYS = 90.0
_STEP_MEMORY_DAYS = 180.0
_AFRESH = 0.03  # of the possible classes in every lesson


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


def know(lessons: Sequence[LessonKept], now_s: float) -> Knowledge:
    """Return what the class of these lessons, in the order of their numbers, can read at `now_s`."""
    lessons = sorted((lesson for lesson in lessons if lesson.rounds), key=lambda lesson: lesson.number)
    dates_s = _dates([lesson.rounds[-1].at_s for lesson in lessons], now_s)
    belief = _Belief(_mixups_of(lessons))
    seen: dict[str, float] = {}  # when each step and mix-up was last met
    times: dict[ClockTime, float] = {}
    before_s: float | None = None
    for lesson, at_s in zip(lessons, dates_s, strict=True):
        if before_s is not None:
            belief.forget((at_s - before_s) / DAY_S)
        told = [each for each in (evidence(kept, lesson.present) for kept in lesson.rounds) if each]
        if told:
            belief.learn(told, {name: (at_s - seen[name]) / DAY_S for name in seen})
        for kept in lesson.rounds:
            times[kept.time] = at_s
        for each in told:
            seen |= dict.fromkeys((each.skill, *each.mixups), at_s)
        before_s = at_s
    if before_s is not None:
        belief.forget(max(now_s - before_s, 0.0) / DAY_S)
    days = {name: max(now_s - at_s, 0.0) / DAY_S for name, at_s in seen.items()}
    return Knowledge(
        steps=MappingProxyType(belief.steps()),
        mixups=MappingProxyType(belief.mixups()),
        steps_days=MappingProxyType({name: ago for name, ago in days.items() if name in STEP_CODES}),
        mixups_days=MappingProxyType({name: ago for name, ago in days.items() if name not in STEP_CODES}),
        times_days=MappingProxyType({time: max(now_s - at_s, 0.0) / DAY_S for time, at_s in times.items()}),
        half_life_days=MappingProxyType(belief.half_lives()),
    )


def _dates(at_s: Sequence[float], now_s: float) -> list[float]:
    """Return when each lesson was, in order: a date that breaks the order is a clock's error, not a lesson's.

    The dates that are kept are the longest run of them that never falls and is not in the future; the other
    lessons lie evenly between those and now.
    """
    runs: list[
        tuple[int, int | None]
    ] = []  # for each lesson: how many can be kept up to it, and the one before
    for place, date in enumerate(at_s):
        earlier = [each for each in range(place) if runs[each][0] and at_s[each] <= date]
        best = max(earlier, key=lambda each: runs[each][0], default=None)
        kept = 0 if date > now_s else 1 + (runs[best][0] if best is not None else 0)
        runs.append((kept, best))
    trusted: set[int] = set()
    last = max(range(len(runs)), key=lambda each: runs[each][0], default=None)
    while last is not None and runs[last][0]:
        trusted.add(last)
        last = runs[last][1]
    known = sorted(trusted)
    return np.interp(range(len(at_s)), [*known, len(at_s)], [*(at_s[each] for each in known), now_s]).tolist()


def retained(days: float, half_life_days: _Floats | float) -> _Floats:
    """Return which part of what was known is left: 2^(-days / half-life), Settles & Meeder 2016."""
    return np.asarray(2.0 ** (-days / np.asarray(half_life_days, dtype=np.float64)))


class _Belief:
    """Possible classes: a row of logits of shares (steps, then mix-ups) and of half-lives each."""

    def __init__(self, mixups: tuple[str, ...]) -> None:
        self._names = (*STEP_CODES, *mixups)
        self._random = np.random.default_rng(_SEED)
        self._taught: dict[str, int] = {}  # by its column, every step that was tallied
        self._practised: set[str] = set()  # in the last lesson: what it has taught is still to be added
        self._logits, self._half_lives = self._drawn(_CLASSES)
        self._usual = _share(self._logits).mean(axis=0)

    def _drawn(self, count: int) -> tuple[_Floats, _Floats]:
        """Draw classes that nothing is known of: each step is the one below it, somewhat less known."""
        steps = len(STEP_CODES)
        first = self._random.normal(*_FIRST_STEP, (count, 1))
        falls = self._random.normal(*_NEXT_STEP, (count, steps - 1))
        ladder = np.cumsum(np.hstack([first, falls]), axis=1)
        mixups = self._random.normal(*_MIXUP, (count, len(self._names) - steps))
        half_lives = FIRST_HALF_LIFE_DAYS * np.exp(self._random.normal(0.0, _HALF_LIFE_SD, (count, steps)))
        return np.clip(np.hstack([ladder, mixups]), -_LOGIT_BOUND, _LOGIT_BOUND), half_lives

    def forget(self, days: float) -> None:
        """Move on by `days`: the last lesson has taught, shares fall by their half-lives, mix-ups fade."""
        if days <= 0.0:
            return
        self._change_by_the_lesson()
        steps = len(STEP_CODES)
        for place in self._taught.values():
            left = _share(self._logits[:, place]) * retained(days, self._half_lives[:, place])
            self._logits[:, place] = _logit(left)
        usual, width = np.full(len(self._names), _MIXUP[0]), np.full(len(self._names), _MIXUP[1])
        usual[:steps], width[:steps] = _FIRST_STEP[0] + _NEXT_STEP[0] * np.arange(steps), _FIRST_STEP[1]
        memory = np.full(len(self._names), _MIXUP_MEMORY_DAYS)
        memory[:steps] = _STEP_MEMORY_DAYS
        kept = np.exp(-days / memory)
        self._logits = usual + kept * (self._logits - usual)
        self._change(0.0, width * np.sqrt(1.0 - kept**2))

    def learn(self, told: Sequence[Evidence], days_ago: Mapping[str, float]) -> None:
        """Take in the tallies of one lesson; `days_ago` tells when each step was met before it."""
        self._change_by_the_lesson()
        afresh = self._random.random(len(self._logits)) < _AFRESH
        self._logits[afresh], self._half_lives[afresh] = self._drawn(int(afresh.sum()))
        weights = np.zeros(len(self._logits))
        for each in told:
            weights += log_likelihood(each, *self._answers(each))
        self._draw_again(np.exp(weights - weights.max()))
        for skill in {each.skill for each in told}:
            place = self._names.index(skill)
            self._taught[skill] = place
            if skill in days_ago:
                self._lengthen(place, max(days_ago[skill], 0.0))
        self._practised = {each.skill for each in told}

    def _change_by_the_lesson(self) -> None:
        """Add what the last lesson has taught: no tally has shown it yet, so it is doubt above all."""
        if not self._practised:
            return
        drift = np.zeros(len(self._names))
        spread = np.full(len(self._names), _MIXUP_CHANGE_SD)
        spread[: len(STEP_CODES)] = _LEARNT_IN_A_LESSON[1]
        drift[[self._names.index(skill) for skill in self._practised]] = _LEARNT_IN_A_LESSON[0]
        self._change(drift, spread)
        self._practised = set()

    def _answers(self, seen: Evidence) -> tuple[_Floats, _Floats]:
        """Return the probability of a right answer, and the share that guesses, in every possible class."""
        known = _share(self._logits[:, self._names.index(seen.skill)])
        mixed = _share(self._logits[:, [self._names.index(name) for name in sorted(seen.mixups)]])
        free = np.prod(1.0 - mixed, axis=1)
        guessing = free * (1.0 - known)
        return free * known + guessing * seen.by_guessing, guessing

    def _lengthen(self, place: int, gap_days: float) -> None:
        """Lengthen half-lives where the step was still known after a gap, shorten them where it was not."""
        half_lives = self._half_lives[:, place]
        known = _share(self._logits[:, place])
        exponent = (2.0 * known - 1.0) * np.minimum(gap_days / half_lives, 1.0)
        self._half_lives[:, place] = np.clip(half_lives * 2.0**exponent, *HALF_LIFE_DAYS)

    def _change(self, drift: _Floats | float, spread: _Floats) -> None:
        self._logits += drift + spread * self._random.standard_normal(self._logits.shape)
        np.clip(self._logits, -_LOGIT_BOUND, _LOGIT_BOUND, out=self._logits)

    def _draw_again(self, weights: _Floats) -> None:
        """Draw as many classes again, each as often as its weight says, evenly spaced (Kitagawa 1996)."""
        count = len(weights)
        places = (np.arange(count) + self._random.random()) / count
        drawn = np.minimum(np.searchsorted(np.cumsum(weights / weights.sum()), places), count - 1)
        self._logits, self._half_lives = self._logits[drawn], self._half_lives[drawn]

    def steps(self) -> dict[str, Estimate]:
        """Return every step; one never taught stands no higher than what is known of its neighbours."""
        told = {code: _estimate(self._logits[:, place]) for code, place in self._taught.items()}
        return {code: told.get(code) or self._untaught(place, told) for place, code in enumerate(STEP_CODES)}

    def _untaught(self, place: int, told: Mapping[str, Estimate]) -> Estimate:
        logits = self._logits[:, place]
        below = [each for each in self._taught.values() if each < place]
        if below:  # who cannot read the easier step does not read this one
            logits = np.minimum(logits, self._logits[:, below].min(axis=1))
        own = _estimate(logits)
        if not told:
            return own
        # What is seen of one step may raise another to its own height, and no higher.
        best = max(told.values(), key=lambda each: each.mean)
        if own.mean <= max(best.mean, self._usual[place]):
            return own
        return Estimate(mean=best.mean, low=min(own.low, best.low), high=own.high)

    def mixups(self) -> dict[str, Estimate]:
        """Return every mix-up that was offered."""
        first = len(STEP_CODES)
        return {
            name: _estimate(self._logits[:, first + place]) for place, name in enumerate(self._names[first:])
        }

    def half_lives(self) -> dict[str, float]:
        """Return the half-life, in days, of every step that was taught, the easiest first."""
        return {
            code: float(np.exp(np.log(self._half_lives[:, place]).mean()))
            for code, place in sorted(self._taught.items(), key=lambda each: each[1])
        }


def _share(logit: _Floats | float) -> _Floats:
    """Return the share that a logit stands for."""
    return np.asarray(1.0 / (1.0 + np.exp(-np.asarray(logit, dtype=np.float64))))


def _logit(share: _Floats) -> _Floats:
    share = np.clip(share, *_share(np.array([-_LOGIT_BOUND, _LOGIT_BOUND])))
    return np.asarray(np.log(share / (1.0 - share)))


def _mixups_of(lessons: Iterable[LessonKept]) -> tuple[str, ...]:
    told = (evidence(kept) for lesson in lessons for kept in lesson.rounds)
    return tuple(sorted(frozenset().union(*(each.mixups for each in told if each))))


def _estimate(logits: _Floats) -> Estimate:
    """Return the mean share and the shortest interval that holds `SURE` of the possible classes."""
    shares = np.sort(_share(logits))
    inside = round(SURE * len(shares))
    low = int(np.argmin(shares[inside - 1 :] - shares[: len(shares) - inside + 1]))
    return Estimate(mean=float(shares.mean()), low=float(shares[low]), high=float(shares[low + inside - 1]))

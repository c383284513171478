"""How many of a class clapped on one side, with what that is worth: a distribution over counts, not a number.

The share of the energy is about the share of the clappers; how far it may be out follows from how unequal
claps are. Each child's claps have a level of their own, which differs by hands and by how far it stands
from the microphone, and each clap differs from the child's next. So for every count possible classes are
drawn (from a fixed seed), their energies compared as the real ones were, and the count is as likely as
those come near to what was heard. How unequal the claps of this class are is not known beforehand: it is
told in part by how much its three claps differ, and the rest stays open between 1.5 and 6.5 dB.

Levels of single claps, and how they spread, are not published for children: 40 adults who clapped as loudly
as they could differed, but no spread is given (Penn State 2004, a course's page, abstract), and handclaps
are said to repeat badly (de Vos, Papadakis & Stavroulakis 2020, Acoustics 2:803, abstract). Every number
below is our own; benchmarks/claps.py shows what comes of them in halls that were simulated by another
library.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from caller.hall.bands import FloatArray
from caller.hall.claps import CLAPS, Clapped, NotCounted, fault_of

SURE: Final = 0.9
"""The share of cases in which the truth is to lie from `low` to `high`."""

_SPREADS_DB: Final = (1.5, 2.5, 3.5, 4.5, 5.5, 6.5)
_BETWEEN: Final = 0.6  # of the variance of single claps lies between children, the rest within each
_PLACE_DB: Final = 1.0  # how the level of equal claps differs with the place: near the microphone, or far
_TAKE_PART: Final = 0.93
_WRONG_SIDE: Final = 0.03  # clap when the others are asked
_DRAWN: Final = 1_500
_SEED: Final = 1
_BLUR: Final = 0.12  # of a logarithm of energies: claps that overlap do not add quite as energies
_LEAST_VARIANCE: Final = 0.03  # of the logarithm of a group's claps, however many clap
_LEAVES_OUT: Final = 0.3  # of those who do not take part: some clap, but not every time
_USUAL_SPREAD_DB: Final = 4.0
_GAIN_SPREADS: Final = 1.8
_LEAST_GAIN_DB: Final = 1.0
_ONCE_DB: Final = 0.2  # more is asked of one round than of several
_FEWER: Final = 1.7  # that fewer clap than before is likelier than that more do
_DB: Final = 10.0 / math.log(10.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CountHeard:
    """How many of a class clapped on one side: `chances[k]` is the probability of k, from 0 to all
    children.
    """

    chances: tuple[float, ...]

    @property
    def children(self) -> int:
        """How many there are."""
        return len(self.chances) - 1

    @property
    def mean(self) -> float:
        """The expected share of the class."""
        return float(np.dot(np.arange(len(self.chances)), self.chances)) / self.children

    @property
    def interval(self) -> tuple[float, float]:
        """The shares between which the truth lies in nine cases of ten: as much is left out below as
        above.
        """
        risen = np.cumsum(self.chances)
        low = int(np.searchsorted(risen, (1.0 - SURE) / 2.0))
        high = int(np.searchsorted(risen, 1.0 - (1.0 - SURE) / 2.0))
        return low / self.children, min(high, self.children) / self.children

    def mirrored(self) -> CountHeard:
        """Return the same for the other side."""
        return CountHeard(chances=self.chances[::-1])

    def between(self, low: float, high: float) -> float:
        """Return the probability that the share lies from `low` on and under `high`; 1 belongs to the
        last.
        """
        shares = np.arange(len(self.chances)) / self.children
        inside = (shares >= low - 1e-9) & ((shares < high - 1e-9) | (high >= 1.0))
        return float(np.asarray(self.chances)[inside].sum())


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoSides:
    """One round: what those on the side in question clapped, and what all others did."""

    side: Clapped
    others: Clapped


def counted(whole: Clapped | None, rounds: Sequence[TwoSides], children: int) -> CountHeard | NotCounted:
    """Return how many clapped on the side in question in the last of `rounds`, or why that cannot be told.

    Parameters
    ----------
    whole
        The whole class, clapped at the lesson's start; what was heard of it must have been good.
    rounds
        All rounds of the lesson so far whose claps were heard, the one to be counted last: how unequal
        claps are, and whether the microphone changes its gain, is learnt from all.
    children
        How many are there, 2 at least.

    Raises
    ------
    ValueError
        For a class of fewer than two, or no round.
    """
    if children < 2 or not rounds:
        raise ValueError("a count needs two children and a round")
    now = rounds[-1]
    if whole is None:
        return NotCounted.UNHEARD
    fault = fault_of(now.side + now.others, whole)
    if fault is not None:
        return fault
    log_chances = _spread_prior(whole, children) + sum(
        _log_sum(_from_claps(each, children)) for each in rounds[:-1]
    )
    joint = log_chances[:, None] + _from_claps(now, children) + _from_share(now, children)
    gain = _gain_fault(whole, rounds, children)
    if gain is not None:
        return gain
    chances = np.exp(joint - joint.max()).sum(axis=0)
    return CountHeard(chances=tuple((chances / chances.sum()).tolist()))


def _log_sum(logs: FloatArray) -> FloatArray:
    """Return the logarithm of the sum along the last axis."""
    top = logs.max(axis=-1, keepdims=True)
    return np.asarray(top[..., 0] + np.log(np.exp(logs - top).sum(axis=-1)))


def _parts(spread_db: float) -> tuple[float, float]:
    """Return the logarithmic variances of a clap's energy between children, place included, and within
    each.
    """
    variance = (spread_db / _DB) ** 2
    return _BETWEEN * variance + (_PLACE_DB / _DB) ** 2, (1.0 - _BETWEEN) * variance


@lru_cache(maxsize=64)
def _drawn(children: int, spread_db: float) -> tuple[FloatArray, FloatArray]:
    """Draw classes; return the energies of the side's and of the others' claps, shape (draws, counts).

    The mean child that takes part gives 1.
    """
    random = np.random.default_rng(_SEED)
    between, within = _parts(spread_db)
    shape = (_DRAWN, children)
    own = np.exp(math.sqrt(between) * random.standard_normal(shape) - between / 2.0)
    single = np.exp(math.sqrt(within) * random.standard_normal((*shape, CLAPS)) - within / 2.0)
    claps = own * single.mean(axis=2)
    rightly = np.where(random.random(shape) < _TAKE_PART, claps, 0.0)
    wrongly = np.where(random.random(shape) < _WRONG_SIDE, claps, 0.0)

    def so_far(energies: FloatArray) -> FloatArray:
        return np.hstack([np.zeros((_DRAWN, 1)), np.cumsum(energies, axis=1)])

    right, wrong = so_far(rightly), so_far(wrongly)
    return right + wrong[:, -1:] - wrong, right[:, -1:] - right + wrong


def _from_share(now: TwoSides, children: int) -> FloatArray:
    """Return the log likelihood of the two sides' energies, for every spread and count."""
    total = now.side.energy + now.others.energy
    doubt = math.hypot(now.side.doubt, now.others.doubt) / total * children
    side, others = (each.energy / total * children for each in (now.side, now.others))
    least = max(doubt, 0.02)  # a hundredth of a second of nothing is not a proof of nobody
    heard = math.log((side + least) / (others + least))
    return np.array([_likely(heard, children, spread, least) for spread in _SPREADS_DB])


def _likely(heard: float, children: int, spread_db: float, least: float) -> FloatArray:
    side, others = _drawn(children, spread_db)
    ratios = np.log((side + least) / (others + least))
    # Swapping sides is only a matter of words: what holds for k here holds for the rest there.
    both = np.vstack([ratios, -ratios[:, ::-1]])
    # Where next to nobody claps, what is heard is as unsure as the doubt itself.
    heard = float(np.clip(heard, both[:, 0].mean(), both[:, -1].mean()))
    return np.asarray(np.log(np.exp(-0.5 * ((heard - both) / _BLUR) ** 2).mean(axis=0) + 1e-9))


def _from_claps(each: TwoSides, children: int) -> FloatArray:
    """Return the log likelihood of how much the three claps of each side differ, for every spread and
    count.
    """
    counts = np.arange(children + 1, dtype=np.float64)
    return _differ(each.side, counts) + _differ(each.others, counts[::-1])


def _spread_prior(whole: Clapped, children: int) -> FloatArray:
    """Return what the whole class's claps tell of every spread; before them all are alike."""
    return _differ(whole, np.array([float(children)]))[:, 0]


def _differ(heard: Clapped, counts: FloatArray) -> FloatArray:
    """Return the log likelihood of the differences between three claps, shape (spreads, counts).

    The variance of three logarithms of one variance v is v times an exponential of mean 1: chi-squared of
    two.
    """
    if min(heard.claps) <= heard.doubt / CLAPS:
        return np.zeros((len(_SPREADS_DB), len(counts)))
    seen = float(np.var(np.log(heard.claps), ddof=1))
    return np.array([-np.log(v) - seen / v for v in (_variance(counts, each) for each in _SPREADS_DB)])


def _variance(counts: FloatArray, spread_db: float) -> FloatArray:
    """Return the variance of the logarithm of one clap of so many children."""
    return np.asarray(np.log1p(_unequal(spread_db) / np.maximum(counts, 0.5)) + _LEAST_VARIANCE)


def _unequal(spread_db: float) -> float:
    """Return the variance of one clap of one child, over the square of the mean child's."""
    between, within = _parts(spread_db)
    return math.exp(between) * math.expm1(within) + (1.0 - _TAKE_PART) * _LEAVES_OUT


def _gain_fault(whole: Clapped, rounds: Sequence[TwoSides], children: int) -> NotCounted | None:
    """Tell whether the sides together were not as loud as the whole class: it is the same children.

    Automatic gain lifts the smaller group, so that the two together come out louder than all at once.
    """
    # A gain that moves makes claps unequal too: how unequal they are here must not excuse it.
    variance = _unequal(_USUAL_SPREAD_DB) / (CLAPS * children)
    over_db = [
        _DB * math.log((each.side.energy + each.others.energy) / whole.energy)
        for each in rounds
        if each.side.energy + each.others.energy > 0.0
    ]

    def limit_db(rounds: int) -> float:
        return max(_LEAST_GAIN_DB, _GAIN_SPREADS * _DB * math.sqrt(variance * (1.0 + 1.0 / rounds)))

    if over_db[-1] < -_FEWER * limit_db(1):
        return NotCounted.UNCLEAR
    heard = len(over_db)
    if over_db[-1] > limit_db(1) + _ONCE_DB or (heard > 1 and float(np.mean(over_db)) > limit_db(heard)):
        return NotCounted.GAIN
    return None

"""How many of a class clapped on one side, with what that is worth: a distribution over counts, not a number.

The share of the energy is about the share of the clappers; how far it may be out follows from how unequal
claps are. Each child's claps have a level of their own, which differs by hands and by how far it stands
from the microphone, and each clap differs from the child's next. So for every count possible classes are
drawn (from a fixed seed), and the count is as likely as their energies come near to what was heard. What is
not known beforehand is told by the claps themselves, and what they leave open widens the interval:

- how unequal single claps are: by how much three claps of a group differ, and by how far both sides
  together are from the whole class, in all rounds so far;
- whether the microphone turns itself up and down: it lifts the smaller group, so that the two sides come out
  louder than all at once. A gain that rises as the level falls makes E out of an energy E^(1 - c): c, the
  part of a difference that it levels out, is one more unknown.

Where the interval comes out wider than half of the class, nothing is counted.

Where a child stands: sound that comes straight falls with the square of the distance, and that of the room
by e^(-0.04 r / T), r in metres (M. Barron & L.-J. Lee 1988, J. Acoust. Soc. Am. 84:618, from memory).

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
from caller.hall.claps import BLOCK_S, CLAPS, Clapped, NotCounted, fault_of

SURE: Final = 0.9
"""The share of cases in which the truth is to lie from `low` to `high`."""

_SPREADS_DB: Final = (1.5, 2.5, 3.5, 4.5, 5.5, 6.5)
_BETWEEN: Final = (0.4, 0.8)  # of the variance of single claps lies between children, the rest within each
_TAKE_PART: Final = (0.86, 1.0)
_WRONG_SIDE: Final = (0.0, 0.06)  # clap when the others are asked
_NEAR_M, _FAR_M = 1.5, 18.0  # from the microphone
_AS_LOUD_M: Final = 1.7  # there a school hall sounds as loud as the clap itself
_USUAL_REVERBERATION_S: Final = 1.5
_LEVELLED: Final = (0.0, 0.4, 0.75)  # which part of a difference a gain levels out
_GAIN_PRIOR: Final = (0.5, 0.2, 0.3)
_WIDEST: Final = 0.5  # of the class: an interval wider than this tells nobody anything
_WHOLE_OUT: Final = (-1.6, -0.8, 0.0, 0.8, 1.6)  # standard deviations by which the whole class may be out
_DRAWN: Final = 400
_SEED: Final = 1
_BLUR: Final = 0.15  # of a logarithm of energies: claps that overlap do not add quite as energies
_GAIN_BLUR: Final = 0.4  # and a gain is not so even
_LEAST_VARIANCE: Final = 0.015  # of the logarithm of a group's claps, however many clap
_FAINT: Final = (-5.0, -1.5)  # powers of ten
_GAIN_VARIANCES: Final = (0.015, 0.08, 0.3)  # by how a gain happens to move between three claps
_LEAVES_OUT: Final = 0.3  # of those who do not take part: some clap, but not every time
_FEWEST_DB: Final = 3.5  # both sides together so far under the whole class: not all have clapped
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

        Half of a count's own chance lies below it (the mid-P of H. O. Lancaster 1961, J. Am. Stat. Assoc.
        56:223, from memory): whole counts would else be left in too often.
        """
        chances = np.asarray(self.chances)
        middle = np.cumsum(chances) - chances / 2.0
        left_out = (1.0 - SURE) / 2.0
        inside = np.flatnonzero((middle >= left_out) & (middle <= 1.0 - left_out))
        if not inside.size:  # all is on two neighbours
            inside = np.argsort(chances)[-2:]
        return float(inside.min()) / self.children, float(inside.max()) / self.children

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


def counted(
    whole: Clapped | None, rounds: Sequence[TwoSides], children: int, *, fall_db: float | None = None
) -> CountHeard | NotCounted:
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
    fall_db
        By how much this room falls in a tenth of a second, where that was heard.

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
    together = now.side.energy + now.others.energy
    if _DB * math.log(together / whole.energy) < -_FEWEST_DB:
        return NotCounted.UNCLEAR
    reverberation_s = _USUAL_REVERBERATION_S if fall_db is None else 60.0 * BLOCK_S / fall_db
    reverberation_s = round(2.0 * reverberation_s) / 2.0 or 0.5  # few halls to draw classes in
    logs = [_of_round(each, whole, children, reverberation_s) for each in rounds]
    known = _prior(whole, children) + sum(_log_mean(each) for each in logs[:-1])
    joint = np.exp((total := known[..., None] + logs[-1]) - total.max())
    chances = joint.sum(axis=(0, 1, 2))
    found = CountHeard(chances=tuple((chances / chances.sum()).tolist()))
    low, high = found.interval
    if high - low <= _WIDEST:
        return found
    return NotCounted.GAIN if 2.0 * joint[:, 1:].sum() > joint.sum() else NotCounted.UNCLEAR


def _log_mean(logs: FloatArray) -> FloatArray:
    """Return the logarithm of the mean along the last axis."""
    top = logs.max(axis=-1, keepdims=True)
    return np.asarray(top[..., 0] + np.log(np.exp(logs - top).mean(axis=-1)))


def _parts(spread_db: float, between: float) -> tuple[float, float]:
    """Return the logarithmic variances of a clap's energy between children and within each."""
    variance = (spread_db / _DB) ** 2
    return between * variance, (1.0 - between) * variance


@lru_cache(maxsize=64)
def _drawn(children: int, spread_db: float, reverberation_s: float) -> tuple[FloatArray, FloatArray]:
    """Draw classes; return the energies of the side's and of the others' claps, shape (draws, counts).

    What this class claps together on average is 1.
    """
    random = np.random.default_rng(_SEED)
    variance = (spread_db / _DB) ** 2
    between = random.uniform(*_BETWEEN, (_DRAWN, 1)) * variance
    within = (variance - between)[..., None]
    shape = (_DRAWN, children)
    far_m = np.sqrt(random.uniform(_NEAR_M**2, _FAR_M**2, shape))
    place = (_AS_LOUD_M / far_m) ** 2 + np.exp(-0.04 * far_m / reverberation_s)
    own = place * np.exp(np.sqrt(between) * random.standard_normal(shape))
    single = np.exp(np.sqrt(within) * random.standard_normal((*shape, CLAPS)) - within / 2.0)
    take_part = random.uniform(*_TAKE_PART, (_DRAWN, 1))
    own /= own.sum(axis=1, keepdims=True) * take_part
    claps = own * single.mean(axis=2)
    rightly = np.where(random.random(shape) < take_part, claps, 0.0)
    wrongly = np.where(random.random(shape) < random.uniform(*_WRONG_SIDE, (_DRAWN, 1)), claps, 0.0)

    def so_far(energies: FloatArray) -> FloatArray:
        return np.hstack([np.zeros((_DRAWN, 1)), np.cumsum(energies, axis=1)])

    right, wrong = so_far(rightly), so_far(wrongly)
    side, others = right + wrong[:, -1:] - wrong, right[:, -1:] - right + wrong
    # Swapping sides is only a matter of words: what holds for k here holds for the rest there.
    both = np.vstack([side, others[:, ::-1]]), np.vstack([others, side[:, ::-1]])
    return np.asarray(both[0], np.float32), np.asarray(both[1], np.float32)


@lru_cache(maxsize=128)
def _met(
    children: int, spread_db: float, reverberation_s: float, levelled: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the drawn energies as a gain leaves them, and the logarithm of their sum.

    What a gain lifts besides claps, a shoe or an echo, is drawn for each class.
    """
    side, others = _drawn(children, spread_db, reverberation_s)
    if levelled:
        random = np.random.default_rng(_SEED)
        faint = np.asarray(10.0 ** random.uniform(*_FAINT, (len(side), 1)), np.float32)
        side, others = (side + faint) ** (1.0 - levelled), (others + faint) ** (1.0 - levelled)
    return side, others, np.log(side + others)


@lru_cache(maxsize=64)
def _of_round(now: TwoSides, whole: Clapped, children: int, reverberation_s: float) -> FloatArray:
    """Return the log likelihood of all that was heard of a round.

    Shape (spreads, parts levelled out, how far the whole class is out, counts).
    """
    least = math.hypot(now.side.doubt, now.others.doubt) / whole.energy
    least = max(least, 0.02 / children)  # a hundredth of a second of nothing is not a proof of nobody
    side, others = (each.energy / whole.energy for each in (now.side, now.others))
    heard_split, heard_sum = math.log((side + least) / (others + least)), math.log(side + others)
    counts = np.arange(children + 1, dtype=np.float64)
    found = np.empty((len(_SPREADS_DB), len(_LEVELLED), len(_WHOLE_OUT), children + 1))
    for at, spread_db in enumerate(_SPREADS_DB):
        outs = np.asarray(_WHOLE_OUT) * math.sqrt(_variance_of_whole(children, spread_db))
        for number, levelled in enumerate(_LEVELLED):
            kept = 1.0 - levelled
            blur = _GAIN_BLUR if levelled else _BLUR
            of_side, of_others, log_sum = _met(children, spread_db, reverberation_s, levelled)
            split = np.log((of_side + least) / (of_others + least))
            # Where next to nobody claps, what is heard is as unsure as the doubt itself.
            faint = (least / 2.0 / (of_side + least)) ** 2 + (least / 2.0 / (of_others + least)) ** 2
            variance = blur**2 + faint
            near = np.exp(-0.5 * (heard_split - split) ** 2 / variance) / np.sqrt(variance) / blur
            sums = heard_sum - log_sum
            differ = _differ(now.side, counts, spread_db, kept)
            differ += _differ(now.others, counts[::-1], spread_db, kept)
            for place, out in enumerate(outs.tolist()):
                as_loud = np.exp(-0.5 * ((sums + kept * out) / blur) ** 2)
                found[at, number, place] = np.log((near * as_loud).mean(axis=0) + 1e-9) + differ
    return found


def _prior(whole: Clapped, children: int) -> FloatArray:
    """Return what is known before any round, shape as a round's without counts: by the whole's three claps,
    and by how often microphones level.
    """
    everybody = np.array([float(children)])
    told = np.array(
        [[_differ(whole, everybody, spread, 1.0 - part)[0] for part in _LEVELLED] for spread in _SPREADS_DB]
    )
    normal = -0.5 * np.asarray(_WHOLE_OUT) ** 2
    return np.asarray((told + np.log(_GAIN_PRIOR))[..., None] + normal)


def _differ(heard: Clapped, counts: FloatArray, spread_db: float, kept: float) -> FloatArray:
    """Return the log likelihood of the differences between three claps, for every count.

    The variance of three logarithms of one variance v is v times an exponential of mean 1: chi-squared of
    two. A gain that moves between them adds to it.
    """
    if min(heard.claps) <= heard.doubt / CLAPS:
        return np.zeros(len(counts))
    seen = float(np.var(np.log(heard.claps), ddof=1))
    unequal = np.log1p(_unequal(spread_db) / np.maximum(counts, 0.5))
    more = np.array([_LEAST_VARIANCE] if kept == 1.0 else _GAIN_VARIANCES)
    variance = unequal[:, None] + more
    return _log_mean(-np.log(variance) - seen / variance)


def _unequal(spread_db: float) -> float:
    """Return the variance of one clap of one child, over the square of the mean child's."""
    between, within = _parts(spread_db, sum(_BETWEEN) / 2.0)
    return math.exp(between) * math.expm1(within) + (1.0 - sum(_TAKE_PART) / 2.0) * _LEAVES_OUT


def _variance_of_whole(children: int, spread_db: float) -> float:
    """Return the variance of the logarithm of what all clap together."""
    between, within = _parts(spread_db, sum(_BETWEEN) / 2.0)
    absent = 1.0 - sum(_TAKE_PART) / 2.0
    return math.log1p(math.exp(between) * (math.expm1(within) / CLAPS + absent) / children)

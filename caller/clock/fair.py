"""Which answers stand beside which, so that nothing but the clock tells the right one.

Were the most revealing slip always offered, a child could win without reading: at o'clock the other choice
would be twelve o'clock each time, at half past the hour the long hand points at, and on the 24-hour clock
always the smaller number. So two answers are as likely to stand side by side whichever of them is right.
Where one is a documented slip for the other they stand together often, in both directions: a right answer
then carries the same traces as a wrong one.

The shares are a symmetric matrix of which every row adds up to one, scaled out of those weights from both
sides (Sinkhorn & Knopp 1967, Pacific J. Math. 21:343-348, from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from math import gcd
from random import Random
from types import MappingProxyType
from typing import Final, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from caller.clock import ALL_TIMES, MINUTES_ON_DIAL, ClockError, ClockTime, DayTime, smallest_difference_deg
from caller.clock.beyond_dial import WRONG_WAY, wrong_day_times, wrong_durations, wrong_ends
from caller.clock.ladder import Step, times_at
from caller.clock.mixups import wrong_readings
from caller.clock.said_and_shown import Manners

Answer = TypeVar("Answer", ClockTime, DayTime, int)
Shares: TypeAlias = Mapping[Answer, Mapping[Answer, float]]
"""For each answer those that may stand beside it, each with its probability."""

DURATIONS: Final = tuple(range(5, 245, 5))
"""The lengths in minutes that are asked for and offered: fives up to four hours, own choice."""

# How often two answers stand together, before scaling. Own choices: slips first, neighbours beside them.
_SLIP: Final = 1.0
_BESIDE: Final = 0.4  # an hour, or the step's next time, on or back
_NEAR: Final = 0.2  # fives and tens, halves and quarters of an hour, on or back
_SAME_MINUTES: Final = 0.05

# Nearly all weights are even after some 50 rounds. Where so great a difference is asked that two answers have
# only each other, those beside them are lost in the limit alone, and the rows stay so far from even.
_SCALINGS: Final = 2_000
EVEN_WITHIN: Final = 0.01

_DRAWS: Final = 100


def even_shares(answers: Sequence[Answer], weights: Mapping[tuple[Answer, Answer], float]) -> Shares[Answer]:
    """Return how often answers stand together: as often A beside B as B beside A, and no answer more often.

    Parameters
    ----------
    weights
        Of pairs of answers, in either order; what is given for both orders is added. An answer without any
        has nothing beside it.

    Raises
    ------
    ClockError
        If no shares are even within `EVEN_WITHIN`: some answers have too few others to stand beside.
    """
    places = {answer: place for place, answer in enumerate(answers)}
    matrix = np.zeros((len(answers), len(answers)))
    for (one, other), weight in weights.items():
        matrix[places[one], places[other]] += weight
        matrix[places[other], places[one]] += weight
    shares = _scaled(matrix)
    return MappingProxyType(
        {
            answer: MappingProxyType(
                {answers[int(at)]: float(shares[place, at]) for at in np.flatnonzero(shares[place])}
            )
            for answer, place in places.items()
        }
    )


def _scaled(weights: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return D W D with the diagonal D that makes every row that has weights add up to one."""
    scale = np.ones(len(weights))
    offered = weights.any(axis=1)
    uneven = 0.0
    for _ in range(_SCALINGS):
        sums = weights @ scale
        uneven = float(np.abs(scale * sums - 1.0)[offered].max(initial=0.0))
        if uneven < 1e-9:
            break
        scale = np.sqrt(scale / np.where(sums > 0.0, sums, 1.0))
    if uneven > EVEN_WITHIN:
        raise ClockError(
            f"These answers cannot stand together evenly: the furthest is {uneven:.0%} from it. "
            "Offer more of them beside each other."
        )
    return np.asarray(scale[:, None] * weights * scale[None, :])


def drawn(
    right: Answer,
    shares: Shares[Answer],
    count: int,
    chance: Random,
    *,
    fits: Callable[[Answer, Sequence[Answer]], bool],
    wanted: Callable[[Answer], float] = lambda _answer: 1.0,
    others: Iterable[Answer] = (),
) -> tuple[Answer, ...]:
    """Draw the wrong answers to stand beside the right one.

    A second may stand beside the right one or beside the first wrong one: which of the answers that stand
    together is the one in the middle is chance too. What does not fit is drawn anew from the start, since
    drawing only its last anew would favour the answers with few others beside them. They come in chance
    order: were the one beside the right one first, it would tell which that is.

    Parameters
    ----------
    fits
        Whether an answer may be offered beside the wrong ones chosen before.
    wanted
        How much more it is wanted than its share, in the eyes of this class and lesson.
    others
        What may be offered where nothing that stands beside fits.

    Raises
    ------
    ClockError
        If nothing that fits is left.
    """

    def free(each: Answer, chosen: Sequence[Answer]) -> bool:
        return each != right and each not in chosen and fits(each, chosen)

    chosen: list[Answer] = []
    for _ in range(_DRAWS):
        chosen = []
        while len(chosen) < count:
            hub = _hub(right, chosen, chance)
            if hub not in shares or not shares[hub]:
                break
            beside = shares[hub]
            (next_one,) = chance.choices(
                list(beside), [share * wanted(each) for each, share in beside.items()]
            )
            if not free(next_one, chosen):
                break
            chosen.append(next_one)
        else:
            chance.shuffle(chosen)
            return tuple(chosen)
    # Hardly anything fits: whatever does.
    chosen = []
    while len(chosen) < count:
        for hub in [_hub(right, chosen, chance), right] + chosen:  # noqa: RUF005 (mypy cannot unpack it)
            left = [each for each in shares[hub] if free(each, chosen)] if hub in shares else []
            if left:
                break
        left = left or [each for each in others if free(each, chosen)]
        if not left:
            raise ClockError(f"There are not {count + 1} answers that can be told apart beside {right}.")
        chosen += chance.choices(sorted(left), [wanted(each) for each in sorted(left)])
    return tuple(chosen)


def _hub(right: Answer, chosen: Sequence[Answer], chance: Random) -> Answer:
    """Return the answer beside which the next one comes: as often at the end of three as in their middle."""
    at = chance.randrange(1 + 2 * len(chosen))
    return chosen[(at - 1) // 2] if at else right


@lru_cache(maxsize=32)
def partners(step: Step, manners: Manners, minimum_difference_deg: float) -> Shares[ClockTime]:
    """Return, for every time of a step, the readings that may stand beside it, each with its probability.

    Parameters
    ----------
    manners
        How the choices are said: they decide what is a slip.
    minimum_difference_deg
        The smallest difference between two dials that the last row can tell.
    """
    times = times_at(step)
    known = frozenset(times)
    weights: dict[tuple[ClockTime, ClockTime], float] = {}

    def together(one: ClockTime, other: ClockTime, weight: float) -> None:
        if other in known and smallest_difference_deg(one, other) >= minimum_difference_deg:
            weights[one, other] = weights.get((one, other), 0.0) + weight

    for place, time in enumerate(times):
        for wrong in wrong_readings(time, manners):
            together(time, wrong, _SLIP)
        # Each pair once: the way on from one is the way back from the other.
        together(time, time.plus(60), _BESIDE)
        together(time, times[(place + 1) % len(times)], _BESIDE)
        for hours in range(2, 12):
            together(time, time.plus(60 * hours), _SAME_MINUTES / 2)
    return even_shares(times, weights)


@lru_cache(maxsize=64)
def end_partners(change_minutes: int, minute: int) -> Shares[ClockTime]:
    """Return the ends that may stand beside each other, of all that lie so many minutes after their starts.

    The start itself is never among them.

    Parameters
    ----------
    change_minutes
        How much later, or earlier when negative.
    minute
        Of one of the ends: where all is in fives, only ends that differ from it by fives are looked at.
    """
    grain = gcd(5, change_minutes)
    ends = [time for time in ALL_TIMES if time.minute % grain == minute % grain]
    weights: dict[tuple[ClockTime, ClockTime], float] = {}

    def together(end: ClockTime, wrong: ClockTime, weight: float) -> None:
        apart = (wrong.minutes - end.minutes) % MINUTES_ON_DIAL
        starts = {change_minutes % MINUTES_ON_DIAL, -change_minutes % MINUTES_ON_DIAL}
        if apart not in starts | {0}:
            weights[end, wrong] = weights.get((end, wrong), 0.0) + weight

    for end in ends:
        for wrong in wrong_ends(end.plus(-change_minutes), change_minutes):
            together(end, wrong, _SLIP)
        together(end, end.plus(60), _BESIDE)
        together(end, end.plus(5), _NEAR)
        together(end, end.plus(10), _NEAR)
    return even_shares(ends, weights)


@lru_cache(maxsize=64)
def duration_partners(start: ClockTime, minutes: int) -> Shares[int]:
    """Return the lengths that may stand beside each other, of all that can be asked for from a start.

    Parameters
    ----------
    minutes
        A length that must be among them: where it is no whole five up to four hours, more are.
    """
    lengths = (
        DURATIONS if minutes in DURATIONS else tuple(range(1 if minutes % 5 else 5, 720, gcd(5, minutes)))
    )
    known = frozenset(lengths)
    weights: dict[tuple[int, int], float] = {}

    def together(length: int, wrong: int, weight: float) -> None:
        if wrong in known:
            weights[length, wrong] = weights.get((length, wrong), 0.0) + weight

    for length in lengths:
        for wrong, mistakes in wrong_durations(start, start.plus(length)).items():
            if mistakes != {WRONG_WAY}:  # most of a turn of the dial is no length to hesitate over
                together(length, wrong, _SLIP)
        together(length, length + 60, _BESIDE)
        for near in (5, 10, 15, 30):
            together(length, length + near, _NEAR)
    return even_shares(lengths, weights)


@lru_cache(maxsize=60)
def day_partners(minute: int) -> Shares[DayTime]:
    """Return the times of day that may stand beside each other, of all with the same minutes."""
    times = [DayTime(hour, minute) for hour in range(24)]
    weights: dict[tuple[DayTime, DayTime], float] = {}
    for time in times:
        for wrong in wrong_day_times(time):
            weights[time, wrong] = _SLIP
        weights[time, time.plus(60)] = _BESIDE
        weights[time, time.plus(120)] = weights.get((time, time.plus(120)), 0.0) + _NEAR
    return even_shares(times, weights)

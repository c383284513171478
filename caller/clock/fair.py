"""Which readings stand beside which, so that nothing but the clock tells the right one.

Were the most revealing slip always offered, a child could win without reading: at o'clock the other choice
would be twelve o'clock each time, at half past the hour the long hand points at. So two readings are as
likely to stand side by side whichever of them the clock shows. Where one is a documented slip for the other
they stand together often, in both directions: a right answer then carries the same traces as a wrong one.

The shares are a symmetric matrix of which every row adds up to one, scaled out of those weights from both
sides (Sinkhorn & Knopp 1967, Pacific J. Math. 21:343-348, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.clock.hands import smallest_difference_deg
from caller.clock.ladder import Step, times_at
from caller.clock.mixups import wrong_readings
from caller.clock.spoken import Manners
from caller.clock.times import ClockTime

# How often two readings stand together, before scaling. Own choices: slips first, neighbours beside them.
_SLIP: Final = 1.0
_BESIDE: Final = 0.4  # an hour, or the step's next time, on or back
_SAME_MINUTES: Final = 0.05
_SCALINGS: Final = 300


@lru_cache(maxsize=32)
def partners(
    step: Step, manners: Manners, minimum_difference_deg: float
) -> Mapping[ClockTime, Mapping[ClockTime, float]]:
    """Return, for every time of a step, the readings that may stand beside it, each with its probability.

    The probability of B beside A is that of A beside B, and those beside a time add up to one.

    Parameters
    ----------
    manners
        How the choices are said: they decide what is a slip.
    minimum_difference_deg
        The smallest difference between two dials that the last row can tell.
    """
    times = times_at(step)
    places = {time: place for place, time in enumerate(times)}
    weights = np.zeros((len(times), len(times)))

    def together(one: ClockTime, other: ClockTime, weight: float) -> None:
        if other in places and smallest_difference_deg(one, other) >= minimum_difference_deg:
            weights[places[one], places[other]] += weight
            weights[places[other], places[one]] += weight

    for place, time in enumerate(times):
        for wrong in wrong_readings(time, manners):
            together(time, wrong, _SLIP)
        # Each pair once: the way on from one is the way back from the other.
        together(time, time.plus(60), _BESIDE)
        together(time, times[(place + 1) % len(times)], _BESIDE)
        for hours in range(2, 12):
            together(time, time.plus(60 * hours), _SAME_MINUTES / 2)
    shares = _scaled(weights)
    return MappingProxyType(
        {
            time: MappingProxyType(
                {times[at]: float(shares[place, at]) for at in np.flatnonzero(shares[place])}
            )
            for place, time in enumerate(times)
        }
    )


def _scaled(weights: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return D W D with the diagonal D that makes every row add up to one, as far as that can be."""
    scale = np.ones(len(weights))
    for _ in range(_SCALINGS):
        sums = weights @ scale
        scale = np.sqrt(scale / np.where(sums > 0.0, sums, 1.0))
    return np.asarray(scale[:, None] * weights * scale[None, :])

"""Judge where the right choices stand: a child who counts sides must gain nothing by it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby
from typing import Final

from caller.deciding.circumstances import Streams
from caller.deciding.model import Side
from caller.deciding.sides import LONGEST_RUN, kept_free_of_runs, side_sequence

_UNBALANCED: Final = 3  # one side more often than another by so many, from four rounds on
_PERIODS: Final = (3, 4)
_TOO_REGULAR: Final = 1.96  # two-sided 5 % of the normal distribution


def sides_of(has_sides: Sequence[bool], seed: int) -> tuple[Side, ...]:
    """Return where the run sheet of a lesson with this seed puts the right one of two choices.

    `has_sides` tells it of each round; a round without choices takes its turn all the same.
    """
    sequence = side_sequence(Streams(seed).of("sides", 2), 2, len(has_sides))
    sides: list[Side] = []
    for side, wanted in zip(sequence, has_sides, strict=True):
        if wanted:
            sides.append(kept_free_of_runs(side, sides, 2))
    return tuple(sides)


def runs_z(sides: Sequence[Side]) -> float:
    """Return how far the number of runs is from chance, in standard deviations; 0 where it cannot be told.

    The test of Wald & Wolfowitz 1940 (Annals of Mathematical Statistics 11:147-162): of n1 of one kind and n2
    of another in a random order, the number of runs has mean 1 + 2 n1 n2 / n and variance
    2 n1 n2 (2 n1 n2 - n) / (n² (n - 1)). Right in the middle is left out.
    """
    kept = [side for side in sides if side != "middle"]
    n1 = kept.count("left")
    n = len(kept)
    product = 2 * n1 * (n - n1)
    variance = product * (product - n) / (n * n * (n - 1)) if n > 1 else 0.0
    if variance <= 0.0:
        return 0.0
    runs = sum(1 for _ in groupby(kept))
    return (runs - 1 - product / n) / math.sqrt(variance)


def fault_of(sides: Sequence[Side]) -> str:
    """Return what is wrong with the sides of the right choices, as a sentence; nothing if all is well."""
    run = max((len(list(group)) for _, group in groupby(sides)), default=0)
    if run > LONGEST_RUN:
        return f"the right choice stands on the same side {run} times running."
    counts = [sides.count(side) for side in set(sides) | {"left", "right"}]
    if len(sides) > _UNBALANCED and max(counts) - min(counts) >= _UNBALANCED:
        left, right = sides.count("left"), sides.count("right")
        return f"the right choice stands {left} times left and {right} times right."
    if abs(runs_z(sides)) > _TOO_REGULAR or _repeats(sides):
        return "the sides of the right choice make a pattern."
    return ""


def _repeats(sides: Sequence[Side]) -> bool:
    """Tell whether the sides are one short stretch over and over, which the number of runs may not show."""
    return any(
        len(sides) > 2 * period and all(a == b for a, b in zip(sides, sides[period:], strict=False))
        for period in _PERIODS
    )

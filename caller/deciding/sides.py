"""Where the right choice stands: balanced, without a pattern, and judged as a child who counts would."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby
from random import Random
from typing import Final

from caller.deciding import Side, lane_sides
from caller.deciding.circumstances import Streams

LONGEST_RUN = 3
_LONGEST_ALTERNATION = 5
_PER_SIDE = 4  # within a block of eight (or twelve) rounds each side comes four times


def side_sequence(random: Random, choices: int, count: int) -> tuple[Side, ...]:
    """Return the side of the right choice for `count` rounds.

    Each block of rounds is a random order of equally many of each side; orders with a run of more
    than three, or that go to and fro too long, are drawn again. A longer sequence from the same
    stream begins with the shorter one.
    """
    sides = lane_sides(choices)
    sequence: list[Side] = []
    while len(sequence) < count:
        block = list(sides * _PER_SIDE)
        random.shuffle(block)
        if not _has_pattern([*sequence, *block]):
            sequence += block
    return tuple(sequence[:count])


def kept_free_of_runs(wanted: Side, before: Sequence[Side], choices: int) -> Side:
    """Return `wanted`, or the next side where it would be the fourth of a run.

    The sequence itself has no such run; a script's own sides among it may make one.
    """
    sides = lane_sides(choices)
    if len(before) >= LONGEST_RUN and set(before[-LONGEST_RUN:]) == {wanted}:
        return sides[(sides.index(wanted) + 1) % len(sides)]
    return wanted


def _has_pattern(sequence: Sequence[Side]) -> bool:
    run = alternation = 1
    for index in range(1, len(sequence)):
        run = run + 1 if sequence[index] == sequence[index - 1] else 1
        to_and_fro = sequence[index] != sequence[index - 1] and (
            index < 2 or sequence[index] == sequence[index - 2]
        )
        alternation = alternation + 1 if to_and_fro else 1 + (sequence[index] != sequence[index - 1])
        if run > LONGEST_RUN or alternation > _LONGEST_ALTERNATION:
            return True
    return False


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

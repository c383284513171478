"""Where the right choice stands: balanced, never four times running, and without a pattern."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from caller.deciding.model import Side, lane_sides

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

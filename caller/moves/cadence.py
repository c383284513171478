"""Moves on a beat: which pace suits those done at one time, and where in its loop a figure is at a beat."""

from __future__ import annotations

from collections.abc import Collection
from functools import cache
from math import ceil, floor
from typing import Final

from caller.moves.catalogue import RUNNING_BPM, WALKING_BPM, catalogue
from caller.moves.poses import contacts

LONGEST_BEAT_S: Final = 1.5
"""Five-year-olds cannot keep longer intervals (Bobin-Bègue and Provasi; from memory)."""


def shared_bpm(slugs: Collection[str]) -> float:
    """Return the pace that carries all these moves at one time: a running one where any of them runs."""
    return RUNNING_BPM if any(catalogue()[slug].running for slug in slugs) else WALKING_BPM


def phase_on_beat(slug: str, beats: float) -> float:
    """Return the phase, 0 to 1, of a move's loop so many beats after it begins (before it: below 0).

    Feet land, and reaches end, exactly on beats. Between two of them the loop runs evenly, a little faster or
    slower than by itself. It begins on a whole beat before its first landing.
    """
    landings, begins = _on_beats(slug)
    per_loop = catalogue()[slug].beats
    within = ((beats + begins) / per_loop * len(landings)) % len(landings)
    last = min(floor(within), len(landings) - 1)
    following = landings[last + 1] if last + 1 < len(landings) else landings[0] + 1.0
    return (landings[last] + (within - last) * (following - landings[last])) % 1.0


@cache
def _on_beats(slug: str) -> tuple[tuple[float, ...], int]:
    """Return the landings that beats fall on, and how many beats of the loop are over when it begins."""
    landings = contacts(slug)
    beats = catalogue()[slug].beats
    # More landings than beats, or a number that the beats cannot share evenly: keep the first of each beat.
    if beats % len(landings):
        landings = landings[:1]
    lead = ceil(round(landings[0] * beats, 6))
    return landings, -lead % beats

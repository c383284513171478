"""Moves fall on beats: read off the joints, at any pace."""

from __future__ import annotations

from itertools import groupby

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.moves import catalogue
from caller.moves.poses import LONGEST_BEAT_S, Joint, contacts, loop, phase_on_beat, shared_bpm

SLUGS = st.sampled_from(sorted(catalogue()))


@given(SLUGS, st.floats(-50, 50, allow_nan=False))
def test_a_loop_takes_its_beats_and_comes_round(slug: str, beats: float) -> None:
    per_loop = catalogue()[slug].beats
    one, next_one = phase_on_beat(slug, beats), phase_on_beat(slug, beats + per_loop)
    assert min(abs(one - next_one), 1 - abs(one - next_one)) < 1e-6
    assert 0 <= one < 1


@given(SLUGS, st.floats(0, 16))
def test_a_loop_only_ever_goes_forwards_and_never_leaps(slug: str, beats: float) -> None:
    gone = (phase_on_beat(slug, beats + 0.01) - phase_on_beat(slug, beats)) % 1.0
    assert 0 < gone < 0.05


@pytest.mark.parametrize("slug", sorted(catalogue()))
def test_the_first_landing_of_a_loop_is_on_a_whole_beat_soon_after_it_begins(slug: str) -> None:
    first = contacts(slug)[0]
    beats = catalogue()[slug].beats
    off = [abs(phase_on_beat(slug, beat) - first) for beat in range(beats)]
    assert min(*off, 1 - max(off)) < 1e-9


@given(st.sets(SLUGS, min_size=1, max_size=3))
def test_a_pace_suits_all_who_move_to_it_and_the_youngest_can_keep_it(slugs: set[str]) -> None:
    bpm = shared_bpm(slugs)
    assert 60.0 / bpm <= LONGEST_BEAT_S
    assert bpm == max(catalogue()[slug].bpm for slug in slugs)


@pytest.mark.parametrize("slug", sorted(catalogue()))
def test_a_move_goes_at_a_pace_that_children_keep(slug: str) -> None:
    """Marching 120 to 132 a minute, running 150 to 180; what is slow takes two or four such beats each way.

    CADENCE-kids 2018; Percept Mot Skills 2011, 113:331, abstracts. Calm moves and hops have their own time.
    """
    move = catalogue()[slug]
    low, high = (150, 180) if move.running else (120, 132)
    assert low <= move.bpm <= high
    if move.kind in ("warm-up", "strength", "locomotor") and not move.hold and slug != "one-leg-hops":
        each_way = move.beats / (4 if move.sides else 2)
        assert each_way in (0.5, 1, 2, 4)


def test_hops_are_a_few_on_one_leg_and_then_on_the_other() -> None:
    """Four to six, read off the figure's toes: most children of five hop no more (practice pages)."""
    joints = loop("one-leg-hops", 480)
    landed = []
    for side, toe in (("left", Joint.TOE_L), ("right", Joint.TOE_R)):
        down = joints[:, toe, 1] < joints[:, toe, 1].min() + 0.01
        landed += [(int(at), side) for at in np.flatnonzero(down & ~np.roll(down, 1))]
    sides = [side for _, side in sorted(landed)]
    turned = next(at for at in range(len(sides)) if sides[at] != sides[at - 1])
    sides = sides[turned:] + sides[:turned]
    runs = [len(list(run)) for _, run in groupby(sides)]
    assert len(runs) == 2
    assert all(4 <= run <= 6 for run in runs)

"""Moves fall on beats: read off the joints, at any pace."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.moves.cadence import LONGEST_BEAT_S, phase_on_beat, shared_bpm
from caller.moves.catalogue import catalogue
from caller.moves.poses import contacts

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

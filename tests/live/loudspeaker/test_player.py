from __future__ import annotations

from collections.abc import Callable

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from caller.live.loudspeaker.player import Cued, Player
from caller.timeline.segment import Timeline
from tests.live.conftest import make_call


def filled(player: Player, count: int) -> np.ndarray:
    out = np.full(count, np.nan, dtype=np.float32)
    player.fill(out)
    return out


def test_an_empty_player_gives_silence_and_still_counts() -> None:
    player = Player()
    assert not filled(player, 500).any()
    assert player.written == 500


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.lists(st.integers(1, 30_000), min_size=1, max_size=12))
def test_segments_follow_without_a_gap_whatever_the_block_sizes(
    timeline_of: Callable[..., Timeline], blocks: list[int]
) -> None:
    calls = [make_call(1, 0.25), make_call(2, 0.5)]
    timeline = timeline_of(*calls)
    player = Player()
    for index, call in enumerate(calls):
        player.enqueue(Cued(index, timeline.segment(call)))
    heard = np.concatenate([filled(player, block) for block in blocks])
    expected = np.zeros(len(heard) + 96_000, dtype=np.float32)
    expected[:48_000], expected[48_000:96_000] = 0.25, 0.5
    np.testing.assert_array_equal(heard, expected[: len(heard)])


def test_marks_tell_what_is_heard_at_any_sample(timeline_of: Callable[..., Timeline]) -> None:
    calls = [make_call(1, 0.25), make_call(2, 0.5)]
    timeline = timeline_of(*calls)
    player = Player()
    filled(player, 1_000)
    for index, call in enumerate(calls):
        player.enqueue(Cued(index, timeline.segment(call)))
    filled(player, 100_000)
    places = [
        (mark.cued and mark.cued.index, mark.offset)
        for mark in map(player.at, (1_000, 48_999, 49_000, 96_999))
    ]
    assert places == [(0, 0), (0, 47_999), (1, 0), (1, 47_999)]
    assert player.at(999).cued is None
    assert player.at(97_000).cued is None


def test_stopping_fades_within_five_milliseconds_and_then_is_silent(
    timeline_of: Callable[..., Timeline],
) -> None:
    call = make_call(1, 0.5)
    player = Player()
    player.enqueue(Cued(0, timeline_of(call).segment(call)))
    filled(player, 10_000)
    player.stop()
    after = filled(player, 1_000)
    assert after[0] == 0.5
    assert np.all(np.diff(after) <= 0)
    assert not after[240:].any()
    # No step that would click: what falls from half of full scale takes 3 ms at least (own choice).
    assert np.abs(np.diff(after)).max() <= 0.5 / (0.003 * 48_000)


def test_a_change_of_loudness_is_a_ramp_not_a_step(timeline_of: Callable[..., Timeline]) -> None:
    call = make_call(1, 0.5)
    player = Player()
    player.enqueue(Cued(0, timeline_of(call).segment(call)))
    filled(player, 100)
    player.set_volume(20 * np.log10(0.5))
    ramp = filled(player, 100)
    assert ramp[0] == 0.5
    assert np.isclose(ramp[-1], 0.25)
    assert np.max(np.abs(np.diff(ramp))) < 0.003
    assert np.all(filled(player, 10) == 0.25)


def test_a_replaced_segment_goes_on_at_the_very_sample_and_drops_what_follows(
    timeline_of: Callable[..., Timeline],
) -> None:
    calls = [make_call(1, 0.25), make_call(2, 0.5), make_call(3, 0.75)]
    timeline = timeline_of(*calls)
    player = Player()
    for index, call in enumerate(calls):
        player.enqueue(Cued(index, timeline.segment(call)))
    filled(player, 10_000)
    longer = make_call(1, 0.25, think_s=2)
    assert player.replace_from(Cued(0, timeline.segment(longer))) == 0
    assert np.all(filled(player, 38_000) == 0.25)
    assert player.at(48_000).offset == 48_000
    assert player.waiting() == 1

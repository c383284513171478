from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from caller.deciding import Side
from caller.live.loudspeaker.player import Cued, Player
from caller.sound.mixing import to_mono
from caller.timeline.segment import Segment, Timeline
from tests.live.conftest import make_call, steady_timeline


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


def two_sided(level: float, side: Side) -> Segment:
    call = make_call(1, level)
    call = replace(call, lines=(replace(call.lines[0], point_to=side),))
    return steady_timeline(call, two_loudspeakers=True).segment(call)


def filled_wide(player: Player, count: int) -> np.ndarray:
    out = np.full((count, 2), np.nan, dtype=np.float32)
    player.fill(out)
    return out


def test_left_and_right_are_filled_with_fades_and_loudness_as_one_channel_is(
    timeline_of: Callable[..., Timeline],
) -> None:
    wide, one = Player(-6.0), Player(-6.0)
    segment = two_sided(0.5, "left")
    for player in (wide, one):
        player.enqueue(Cued(0, segment))
    heard, summed = [filled_wide(wide, 1_000)], [filled(one, 1_000)]
    for player in (wide, one):
        player.set_volume(0.0)
    heard.append(filled_wide(wide, 777))
    summed.append(filled(one, 777))
    for player in (wide, one):
        player.stop()
    heard += [filled_wide(wide, 100), filled_wide(wide, 1_000)]
    summed += [filled(one, 100), filled(one, 1_000)]
    for left_right, mono in zip(heard, summed, strict=True):
        np.testing.assert_allclose(to_mono(left_right), mono, atol=1e-6)
    assert np.all(heard[0][:, 0] > 2 * heard[0][:, 1])
    assert heard[2].any()
    assert not heard[3][200:].any()
    # A lesson for one loudspeaker is heard from both alike.
    call = make_call(1, 0.25)
    wide.enqueue(Cued(0, timeline_of(call).segment(call)))
    assert np.all(filled_wide(wide, 1_000) == 0.25)

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.live.loudspeaker.player import StreamClock, plausible_delay_s


@pytest.mark.parametrize(
    ("current_s", "dac_s", "expected_s"),
    [
        (100.0, 100.03, 0.03),
        (0.0, 0.0, 0.25),  # ALSA through Pulse: stream time stays 0.0 (PortAudio issues 498, 586)
        (100.0, 100.0, 0.25),  # DirectSound: converter time equals current time (PortAudio issue 530)
        (100.0, 99.0, 0.25),
        (100.0, 130.0, 0.25),
        (100.0, math.nan, 0.25),
    ],
)
def test_a_reported_converter_time_is_used_only_where_it_can_be_one(
    current_s: float, dac_s: float, expected_s: float
) -> None:
    assert plausible_delay_s(current_s, dac_s, latency_s=0.25) == pytest.approx(expected_s)


def test_before_the_first_callback_nothing_is_heard() -> None:
    assert StreamClock(48_000).heard(5.0) is None


def test_a_block_asked_for_now_is_heard_after_its_delay() -> None:
    clock = StreamClock(48_000)
    clock.note(0, called_s=10.0, delay_s=0.04)
    assert clock.heard(10.04) == 0
    assert clock.heard(11.04) == 48_000


@given(st.lists(st.floats(0, 0.008), min_size=40, max_size=40))
def test_late_callbacks_do_not_move_the_clock_by_more_than_their_lateness(lateness_s: list[float]) -> None:
    clock = StreamClock(48_000)
    for block, late_s in enumerate(lateness_s):
        clock.note(block * 480, called_s=block * 0.01 + late_s, delay_s=0.04)
    heard = clock.heard(1.04)
    assert heard is not None
    assert 48_000 - 0.008 * 48_000 - 1 <= heard <= 48_000

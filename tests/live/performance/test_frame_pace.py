from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.live.performance.conductor import Situation
from caller.live.performance.performance import until_next_frame_s
from caller.timeline import samples_of, seconds_of
from caller.timeline.picture import FRAME_S, picture_of, scene_at
from caller.timeline.segment import Segment, Timeline
from tests.live.conftest import make_call

FRAME = samples_of(FRAME_S)
THINKING = make_call(1, 0.1, kind="move", think_s=6)


@pytest.fixture(scope="module")
def thinking(timeline_of: Callable[..., Timeline]) -> Segment:
    return timeline_of(THINKING).segment(THINKING)


def test_while_words_are_made_frames_come_thirty_a_second() -> None:
    assert until_next_frame_s(Situation(THINKING, None, 0, False, False)) == FRAME_S


@given(late_ms=st.floats(-4, 4), first=st.floats(0, 7))
def test_a_numeral_is_drawn_half_a_frame_after_its_beep(
    thinking: Segment, late_ms: float, first: float
) -> None:
    """From any beginning, and with every wake-up a little early or late."""
    start = thinking.layout.countdown_start
    sample = samples_of(first)
    drawn: dict[int, float] = {}
    while sample < thinking.length:
        into_s = seconds_of(sample - start)
        drawn.setdefault(int(into_s // 1), into_s % 1)
        wait_s = until_next_frame_s(Situation(THINKING, thinking, sample, False, False))
        assert FRAME_S / 2 <= wait_s <= FRAME_S * 1.5
        sample += samples_of(wait_s + late_ms / 1000)
    for second, after_s in drawn.items():
        if second > first:  # the first frame begins where it begins
            assert after_s == pytest.approx(FRAME_S / 2, abs=0.005)


@given(sample=st.integers(0, 480_000), late=st.integers(-700, 700))
def test_waking_early_or_late_shows_the_picture_that_was_drawn_ahead(
    thinking: Segment, sample: int, late: int
) -> None:
    """So the picture of the next due moment is the same within 14 ms of it, on either side."""
    sample %= thinking.length
    due = sample + samples_of(until_next_frame_s(Situation(THINKING, thinking, sample, False, False)))
    assert picture_of(thinking.layout, due) == picture_of(thinking.layout, due + late)


@given(sample=st.integers(0, 480_000))
def test_a_picture_is_at_most_half_a_frame_from_its_moment(thinking: Segment, sample: int) -> None:
    sample %= thinking.length
    near = range(sample - FRAME // 2, sample + FRAME // 2 + 1)
    assert picture_of(thinking.layout, sample) in [scene_at(thinking.layout, each) for each in near]

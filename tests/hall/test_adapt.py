from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.hall import Hall
from caller.hall.adapt import (
    CUE_CEILING_DBA,
    DEFAULT_DELIVERY,
    delivery,
    delivery_for,
    masked_threshold_db,
    tail_s,
)
from caller.hall.floor import floor_map
from caller.hall.hallfile import preset

TIMES = st.floats(0.2, 8.0)
INDICES = st.floats(0.0, 1.0)


@given(short=TIMES, more=TIMES, better=INDICES, worse=INDICES)
def test_a_longer_echo_never_quickens_the_caller(
    short: float, more: float, better: float, worse: float
) -> None:
    worse, better = sorted((worse, better))
    easy = delivery_for(mid_reverberation=short, sti=better)
    hard = delivery_for(mid_reverberation=short + more, sti=worse)
    assert hard.rate_wpm <= easy.rate_wpm
    assert hard.sentence_pause_s >= easy.sentence_pause_s
    assert hard.gap_before_minutes_s >= easy.gap_before_minutes_s
    assert hard.breath_s >= easy.breath_s
    assert hard.tone_length_s >= easy.tone_length_s
    assert (easy.wording, hard.wording) != ("apart", "plain")


@given(t=TIMES, sti=INDICES, tone=st.floats(-40.0, 40.0))
def test_every_hall_gets_a_delivery_within_what_children_follow(t: float, sti: float, tone: float) -> None:
    found = delivery_for(mid_reverberation=t, sti=sti, cue_over_voice_db=tone)
    assert 110 <= found.rate_wpm <= 140  # 2.6 to 3.4 syllables a second (Berry and Erickson 1973, abstract)
    assert 0.8 <= found.sentence_pause_s <= 2.0
    assert 0.1 <= found.gap_before_hour_s == found.gap_before_minutes_s <= 0.6
    assert 0.3 <= found.breath_s <= 1.0
    assert 0.5 <= found.tone_length_s <= 1.0
    assert 0.0 <= found.cue_over_voice_db <= 12.0


def test_the_classroom_is_spoken_to_plainly_and_the_bare_gym_digit_by_digit(bare_gym: Hall) -> None:
    assert delivery(preset("classroom")).wording == "plain"
    assert delivery(bare_gym).wording == "apart"
    assert delivery(bare_gym).rate_wpm < delivery(preset("classroom")).rate_wpm


def test_without_a_hall_the_caller_speaks_as_in_a_middling_one() -> None:
    assert DEFAULT_DELIVERY.wording == "plain"
    assert (
        delivery(preset("old-gym")).rate_wpm
        < DEFAULT_DELIVERY.rate_wpm
        < delivery(preset("classroom")).rate_wpm
    )


@pytest.mark.parametrize("name", ["gym", "sports-hall", "old-gym", "treated-gym"])
def test_the_tone_stays_under_the_cue_ceiling_at_the_nearest_child(name: str) -> None:
    hall = preset(name)
    floor = floor_map(hall)
    loudest = floor.level_dba[floor.in_class].max() + delivery(hall).cue_over_voice_db
    assert loudest <= CUE_CEILING_DBA + 0.05  # rounded to a tenth


def test_a_louder_class_needs_a_louder_tone(bare_gym: Hall) -> None:
    quiet = dataclasses.replace(bare_gym, noise=dataclasses.replace(bare_gym.noise, working_dba=68.0))
    quieter = dataclasses.replace(bare_gym, noise=dataclasses.replace(bare_gym.noise, working_dba=66.0))
    more = [a - b for a, b in zip(delivery(quiet).masked_db, delivery(quieter).masked_db, strict=True)]
    assert more == pytest.approx([2.0] * 7, abs=0.11)


def test_masking_falls_slowly_upwards_only() -> None:
    assert masked_threshold_db([80.0, 40, 40, 40, 40, 40, 60])[:4] == pytest.approx([80, 72.5, 65, 57.5])
    assert masked_threshold_db([40.0, 40, 40, 40, 40, 40, 60])[6] == 60


def test_a_tail_falls_60_db_in_the_reverberation_time() -> None:
    assert tail_s(2.0, 60.0) == 2.0

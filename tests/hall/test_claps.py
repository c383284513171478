"""Claps heard by a level meter: energies, refusals, and how many it was."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caller.hall.clap_share import CountHeard, TwoSides, counted
from caller.hall.claps import (
    BEFORE,
    CLAP_S,
    CLAPS,
    LEAD,
    SILENCE_DB,
    STRETCH,
    Clapped,
    LevelReading,
    NotCounted,
    clapped,
    fall_db,
    fault_of,
    quiet_of,
    reading_of,
)

RATE = 48_000
QUIET = LevelReading(-60.0, -70.0, -50.0)
FALL_DB = 4.0


def energy(db: float) -> float:
    return float(10 ** (db / 10))


def db(of: float) -> float:
    return 10 * math.log10(of)


def heard(
    claps_db: tuple[float, float, float] = (-20.0, -20.0, -20.0),
    *,
    before_db: float = -70.0,
    gain_db: float = 0.0,
    voice_over_db: float = 3.0,
) -> list[LevelReading]:
    """Return readings of three claps in a room that falls by `FALL_DB` a reading, after something louder."""
    size = BEFORE + STRETCH
    band = np.full(size, energy(QUIET.claps_db))
    sounds = {BEFORE + LEAD + number * round(CLAP_S * 10): each for number, each in enumerate(claps_db)}
    sounds[0] = before_db
    for at, level in sounds.items():
        band[at:] += energy(level) * 10 ** (-FALL_DB / 10 * np.arange(size - at))
    over = band - energy(QUIET.claps_db)
    whole = energy(QUIET.level_db) + over * energy(voice_over_db)
    return [
        LevelReading(db(level) + gain_db, db(claps) + gain_db, db(level) + 10 + gain_db)
        for level, claps in zip(whole, band, strict=True)
    ]


def good(found: Clapped | NotCounted) -> Clapped:
    assert isinstance(found, Clapped), found
    return found


def test_a_reading_is_the_level_by_parseval_and_the_claps_octaves_alone() -> None:
    seconds = np.arange(4_800) / RATE
    in_band, below = (0.5 * np.sin(2 * np.pi * hertz * seconds) for hertz in (3_000, 500))
    both = reading_of(in_band + below, RATE)
    assert both.level_db == pytest.approx(20 * math.log10(0.5), abs=0.01)  # two of -9 dB each
    assert both.claps_db == pytest.approx(20 * math.log10(0.5) - 3.01, abs=0.02)
    assert both.peak_db == pytest.approx(20 * math.log10(np.abs(in_band + below).max()), abs=0.01)
    assert reading_of(below, RATE).claps_db < -60
    assert reading_of(np.zeros(4_800), RATE) == (SILENCE_DB, SILENCE_DB, SILENCE_DB)
    assert reading_of(np.zeros(0), RATE) == (SILENCE_DB, SILENCE_DB, SILENCE_DB)


def test_the_level_of_a_sine_is_three_decibels_under_its_peak() -> None:
    """IEC 61606 and AES17 count from a full-scale sine; here full scale is a level of 1 (from memory)."""
    seconds = np.arange(4_800) / RATE
    loud, soft = (reading_of(peak * np.sin(2 * np.pi * 1_000 * seconds), RATE) for peak in (1.0, 0.1))
    assert (loud.level_db, soft.level_db) == pytest.approx((-3.01, -23.01), abs=0.01)
    assert (loud.peak_db, soft.peak_db) == pytest.approx((0.0, -20.0), abs=0.01)


def test_what_sounded_before_and_the_background_are_taken_off() -> None:
    alone = good(clapped(heard(), QUIET, fall_db=FALL_DB))
    after_voice = good(clapped(heard(before_db=-24.0), QUIET, fall_db=FALL_DB))
    assert after_voice.energy == pytest.approx(alone.energy, rel=0.02)
    assert after_voice.doubt > alone.doubt
    nothing = good(clapped(heard((SILENCE_DB,) * 3, before_db=-24.0), QUIET, fall_db=FALL_DB))
    assert nothing.energy < 0.02 * alone.energy


def test_single_claps_are_told_apart_through_their_own_echo() -> None:
    found = good(clapped(heard((-20.0, -26.0, -23.0)), QUIET, fall_db=FALL_DB)).claps
    assert [db(each / found[0]) for each in found] == pytest.approx([0, -6, -3], abs=0.3)


def test_the_fall_of_the_room_is_read_after_the_last_clap() -> None:
    last = BEFORE + LEAD + (CLAPS - 1) * round(CLAP_S * 10)
    assert fall_db(heard()[last:], QUIET) == pytest.approx(FALL_DB, abs=0.1)
    assert fall_db([QUIET] * 10, QUIET) is None
    assert fall_db([], QUIET) is None


def test_the_background_is_that_of_the_quiet_moments() -> None:
    assert quiet_of([QUIET] * 30 + [LevelReading(-20.0, -20.0, -10.0)] * 30) == QUIET
    with pytest.raises(ValueError, match="needs readings"):
        quiet_of([])


def test_what_cannot_be_compared_is_refused_with_its_reason() -> None:
    assert clapped(heard()[:-1], QUIET) is NotCounted.MISSING
    assert clapped(heard(gain_db=16.0), QUIET) is NotCounted.CLIPPED
    whole = good(clapped(heard(), QUIET, fall_db=FALL_DB))
    assert fault_of(whole) is None
    shouted = good(clapped(heard(voice_over_db=6.0), QUIET, fall_db=FALL_DB))
    assert fault_of(shouted, whole) is NotCounted.SHOUT
    assert fault_of(good(clapped(heard(voice_over_db=9.0), QUIET, fall_db=FALL_DB))) is NotCounted.SHOUT
    drowned = good(clapped(heard((-72.0,) * 3), QUIET, fall_db=FALL_DB))
    assert fault_of(drowned, whole) is NotCounted.DROWNED


def group(level: float, doubt: float = 1e-6, unequal: tuple[float, ...] = (1.0, 0.8, 1.1)) -> Clapped:
    return Clapped(
        claps=tuple(level * each / sum(unequal) for each in unequal),
        energy=level,
        doubt=doubt,
        colour_db=3.0,
    )


def told(side: float, others: float, *, whole: float | None = None, children: int = 24) -> CountHeard:
    everybody = group(side + others if whole is None else whole)
    found = counted(everybody, [TwoSides(side=group(side), others=group(others))], children)
    assert isinstance(found, CountHeard), found
    return found


levels = st.floats(0.0, 1.0)
classes = st.sampled_from((7, 24))  # classes are drawn anew for every size


@settings(max_examples=8, deadline=None)
@given(share=levels, children=classes)
def test_swapping_the_sides_mirrors_the_count(share: float, children: int) -> None:
    one, other = told(share, 1 - share, children=children), told(1 - share, share, children=children)
    assert one.chances == pytest.approx(other.mirrored().chances, abs=1e-3)
    assert one.mean == pytest.approx(1 - other.mean, abs=1e-3)
    assert sum(one.chances) == pytest.approx(1)


@settings(max_examples=8, deadline=None)
@given(shares=st.tuples(levels, levels), children=classes)
def test_more_energy_is_more_children(shares: tuple[float, float], children: int) -> None:
    less, more = (told(each, 1 - each, children=children) for each in sorted(shares))
    assert more.mean >= less.mean - 0.02  # classes are drawn: so much is chance
    assert more.interval[0] >= less.interval[0] - 2 / children
    assert more.interval[1] >= less.interval[1] - 2 / children


@settings(max_examples=8, deadline=None)
@given(share=levels, gain_db=st.floats(-30.0, 15.0), children=classes)
def test_a_steady_gain_changes_nothing(share: float, gain_db: float, children: int) -> None:
    gain = energy(gain_db)

    def louder(each: Clapped) -> Clapped:
        return replace(
            each,
            claps=tuple(gain * clap for clap in each.claps),
            energy=gain * each.energy,
            doubt=gain * each.doubt,
        )

    whole, side, others = group(1.0), group(share), group(1 - share)
    plain = counted(whole, [TwoSides(side=side, others=others)], children)
    scaled = counted(louder(whole), [TwoSides(side=louder(side), others=louder(others))], children)
    assert isinstance(plain, CountHeard)
    assert isinstance(scaled, CountHeard)
    assert scaled.chances == pytest.approx(plain.chances, abs=1e-3)


@settings(max_examples=15, deadline=None)
@given(gain_db=st.floats(-25.0, 4.0))
def test_readings_through_a_steady_gain_give_the_same_share(gain_db: float) -> None:
    def share(gain: float) -> float:
        quiet = LevelReading(*(each + gain for each in QUIET))
        side, others = (
            good(clapped(heard((level,) * 3, gain_db=gain), quiet, fall_db=FALL_DB)).energy
            for level in (-22.0, -25.0)
        )
        return side / (side + others)

    assert share(gain_db) == pytest.approx(share(0.0), abs=1e-6)
    assert share(0.0) == pytest.approx(2 / 3, abs=0.01)


def test_unequal_claps_make_it_less_sure() -> None:
    even, uneven = (1.0, 1.02, 0.98), (0.6, 1.0, 1.5)
    widths = []
    for unequal in (even, uneven):
        both = TwoSides(side=group(0.5, unequal=unequal), others=group(0.5, unequal=unequal[::-1]))
        found = counted(group(1.0, unequal=unequal), [both], 12)
        assert isinstance(found, CountHeard)
        low, high = found.interval
        widths.append(high - low)
    assert widths[0] < widths[1]


def test_more_children_are_counted_more_surely() -> None:
    variances = []
    for children in (8, 16, 32):
        chances = np.array(told(0.5, 0.5, children=children).chances)
        shares = np.arange(children + 1) / children
        variances.append(float(chances @ (shares - chances @ shares) ** 2))
    assert variances[0] > variances[1] > variances[2]


def test_nobody_and_everybody_are_told() -> None:
    assert told(0.0, 1.0).interval[1] < 0.2
    assert told(1.0, 0.0).interval[0] > 0.8
    assert told(0.0, 1.0).between(0.0, 0.4) > 0.95
    assert told(0.5, 0.5).between(0.4, 0.7) == pytest.approx(
        1 - told(0.5, 0.5).between(0, 0.4) - told(0.5, 0.5).between(0.7, 1.0)
    )


def test_gain_that_moves_is_noticed_by_the_same_children_being_louder_in_two_parts() -> None:
    def both(over_db: float) -> TwoSides:
        return TwoSides(side=group(0.5 * energy(over_db)), others=group(0.5 * energy(over_db)))

    whole = group(1.0)
    assert counted(whole, [both(3.0)], 25) is NotCounted.GAIN  # full automatic gain: each half as loud as all
    assert isinstance(counted(whole, [both(0.8)], 25), CountHeard)
    assert counted(whole, [both(2.0)] * 3, 25) is NotCounted.GAIN  # each half lifted by as much every time
    assert counted(whole, [both(-4.0)], 25) is NotCounted.UNCLEAR


def test_a_gain_that_may_move_makes_a_count_less_sure() -> None:
    """Both sides together are as loud as the class, or as levelled out by three quarters they would be."""
    side, others = 0.06, 0.94
    levelled = TwoSides(side=group(side**0.25), others=group(others**0.25))
    steady = TwoSides(side=group(side), others=group(others))
    widths = []
    for both in (steady, levelled):
        found = counted(group(1.0), [both], 25)
        if found is NotCounted.GAIN:
            widths.append(1.0)
            continue
        assert isinstance(found, CountHeard)
        low, high = found.interval
        widths.append(high - low)
    assert widths[0] < 0.3 < widths[1]


def test_half_of_a_counts_own_chance_lies_below_it() -> None:
    """Whole counts left in at both ends would make nine cases of ten too many: here it is mid-P by hand."""
    assert CountHeard(chances=(0.05, 0.9, 0.05)).interval == (0.5, 0.5)
    assert CountHeard(chances=(0.1, 0.8, 0.1)).interval == (0.0, 1.0)
    assert CountHeard(chances=(1.0, 0.0, 0.0)).interval == (0.0, 0.0)
    assert CountHeard(chances=(0.97, 0.03, 0.0)).interval == (0.0, 0.0)


def test_without_the_whole_class_nothing_is_counted() -> None:
    both = TwoSides(side=group(0.5), others=group(0.5))
    assert counted(None, [both], 25) is NotCounted.UNHEARD
    with pytest.raises(ValueError, match="two children"):
        counted(group(1.0), [both], 1)
    with pytest.raises(ValueError, match="a round"):
        counted(group(1.0), [], 25)


def test_two_wrong_lanes_are_one_group() -> None:
    one, other = group(0.2, doubt=0.03), group(0.3, doubt=0.04)
    both = one + other
    assert both.energy == pytest.approx(0.5)
    assert both.claps == pytest.approx([a + b for a, b in zip(one.claps, other.claps, strict=True)])
    assert both.doubt == pytest.approx(0.05)
    assert both.colour_db == pytest.approx(3.0)

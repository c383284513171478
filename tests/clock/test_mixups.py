"""Mix-ups as rules; their examples from research are in tests/reference/test_clock_mixups.py."""

from __future__ import annotations

import pytest

from caller.clock import ALL_TIMES, ClockError, ClockTime
from caller.clock.ladder import STEP_CODES
from caller.clock.mixup_rules import swap_is_right
from caller.clock.mixups import (
    MIXUPS,
    MixUp,
    explained_by,
    mixup,
    told_of,
    wrong_readings,
)
from caller.clock.said_and_shown import Manner, read_off

AT = ClockTime.parse
MANNERS: tuple[Manner, ...] = ("digital", "analogue", "halves")


@pytest.mark.parametrize("each", MIXUPS, ids=lambda each: each.name)
def test_a_mix_up_is_wrong_wherever_it_says_anything(each: MixUp) -> None:
    given = [(time, each.rule(time, manner)) for time in ALL_TIMES for manner in MANNERS]
    assert any(wrong is not None for _, wrong in given)
    assert [str(time) for time, wrong in given if wrong == time] == []


@pytest.mark.parametrize("each", MIXUPS, ids=lambda each: each.name)
def test_a_mix_up_says_what_it_is_who_describes_it_and_where_it_matters(each: MixUp) -> None:
    assert each.title
    assert each.source
    assert each.explanation.endswith(".")
    assert set(each.steps) <= set(STEP_CODES)
    assert each.steps
    assert mixup(each.name) is each


def test_names_are_told_apart() -> None:
    assert len({each.name for each in MIXUPS}) == len(MIXUPS)


def test_an_unknown_mix_up_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ClockError) as caught:
        mixup("upside-down")
    names = ", ".join(each.name for each in MIXUPS)
    assert str(caught.value) == f'There is no mix-up "upside-down": they are {names}.'


def given(name: str, time: str, manner: Manner) -> str | None:
    wrong = mixup(name).rule(AT(time), manner)
    return None if wrong is None else str(wrong)


def test_the_whole_set_of_rules_behind_a_wrong_reading_is_kept() -> None:
    digital: tuple[Manner, ...] = ("digital",)
    assert explained_by(AT("7:50"), AT("8:50"), digital) == {"hour-to-nearest", "hour-to-larger"}
    # At 7:10 only one of the two is wrong, so that time tells them apart.
    assert explained_by(AT("7:10"), AT("8:10"), digital) == {"hour-to-larger"}
    assert explained_by(AT("4:40"), AT("8:20"), digital) == {"hands-swapped"}
    assert explained_by(AT("4:40"), AT("4:40"), digital) == frozenset()
    assert explained_by(AT("4:40"), AT("1:13"), digital) == frozenset()


@pytest.mark.parametrize("manner", MANNERS)
def test_wrong_readings_hold_every_rule_and_never_the_truth(manner: Manner) -> None:
    for time in ALL_TIMES:
        readings = wrong_readings(time, (manner,))
        assert time not in readings
        named = {(name, wrong) for wrong, names in readings.items() for name in names}
        ruled = {(each.name, each.rule(time, manner)) for each in MIXUPS if not each.roman}
        assert named == {(name, wrong) for name, wrong in ruled if wrong is not None}


def test_a_class_that_reads_both_ways_shows_the_slips_of_both() -> None:
    both = wrong_readings(AT("4:45"), ("analogue", "digital"))
    assert both[AT("5:45")] == {"hour-to-nearest", "hour-to-larger"}
    assert both[AT("3:45")] == {"to-keeps-passed-hour"}


def test_at_the_twelve_times_where_swapping_is_right_nothing_is_swapped() -> None:
    right = [str(time) for time in ALL_TIMES if swap_is_right(time)]
    assert right == (
        ["12:00", "1:05", "2:10", "3:15", "4:20", "5:25", "6:30", "7:35", "8:40", "9:45", "10:50", "11:55"]
    )
    for text in right:
        for name in ("hands-swapped", "hands-swapped-closely", "minute-numeral-as-hour"):
            assert given(name, text, "digital") is None
    assert sum(mixup("hands-swapped").rule(time, "digital") is None for time in ALL_TIMES) == 12


def test_ones_stay_inside_the_hour() -> None:
    assert given("ones-one-more", "4:59", "digital") is None
    assert given("ones-one-less", "4:01", "digital") == "4:00"
    assert given("ones-one-more", "4:40", "digital") is None


def test_rounding_on_reaches_the_next_hour() -> None:
    assert given("to-nearest-five-on", "12:58", "digital") == "1:00"
    assert given("to-nearest-five-back", "12:58", "digital") == "12:55"


def test_the_hour_wraps_at_twelve() -> None:
    assert given("hour-to-larger", "12:40", "digital") == "1:40"
    assert given("to-keeps-passed-hour", "1:40", "analogue") == "12:40"
    assert given("past-for-to", "12:40", "analogue") == "1:20"
    assert given("past-for-to", "1:10", "analogue") == "12:50"


@pytest.mark.parametrize(
    ("name", "time", "manner", "wrong"),
    [
        # The hour that is nearest is the one "quarter to five" names: nothing is wrong with it.
        ("hour-to-nearest", "4:45", "analogue", None),
        ("hour-to-nearest", "4:45", "digital", "5:45"),
        # "Fünf vor halb fünf" with the nearest numeral is "fünf vor halb vier".
        ("hour-to-nearest", "4:25", "halves", "3:25"),
        # The long hand at nine: "quarter to nine", never "quarter to ten".
        ("minute-numeral-as-hour", "5:45", "analogue", "8:45"),
        ("minute-numeral-as-hour", "5:45", "digital", "9:45"),
        ("minute-numeral-as-hour", "4:30", "halves", "5:30"),
        # Twenty to seven was itself counted back.
        ("counted-backwards", "6:40", "analogue", None),
        ("counted-backwards", "6:40", "digital", "6:20"),
        # Twenty-one minutes to ten without its one minute is twenty to ten.
        ("to-nearest-five-back", "9:39", "analogue", "9:40"),
        ("to-nearest-five-back", "9:39", "digital", "9:35"),
        ("to-nearest-five-on", "9:39", "analogue", None),
        ("hour-to-larger", "6:21", "halves", None),
        ("hour-to-larger", "6:20", "halves", "7:20"),
        ("past-for-to", "4:25", "halves", "4:35"),
        ("past-for-to", "5:59", "digital", None),
        ("to-keeps-passed-hour", "5:45", "digital", None),
        ("to-keeps-passed-hour", "4:30", "halves", "3:30"),
        ("to-keeps-passed-hour", "4:25", "halves", "3:25"),
        ("half-names-coming-hour", "4:30", "analogue", "5:30"),
        ("half-names-coming-hour", "4:30", "halves", None),
        ("numeral-as-tens", "6:25", "analogue", None),
        ("numeral-as-tens", "6:50", "analogue", "6:40"),
        ("money-fractions", "6:30", "analogue", None),
        # One five too many on the way back is five minutes earlier.
        ("fives-one-more", "4:40", "analogue", "4:35"),
        ("fives-one-more", "3:40", "halves", None),
        ("counted-from-hour-hand", "4:20", "digital", None),
    ],
)
def test_a_slip_changes_the_words_of_its_wording(
    name: str, time: str, manner: Manner, wrong: str | None
) -> None:
    assert given(name, time, manner) == wrong


def told(time: str, wrong: str, *manners: Manner) -> tuple[str, Manner] | None:
    return told_of(AT(time), AT(wrong), manners)


def test_only_what_is_true_as_said_is_told() -> None:
    assert told("4:45", "5:45", "analogue") is None
    assert told("4:45", "5:45", "analogue", "digital") == ("hour-to-nearest", "digital")
    assert told("4:45", "3:45", "analogue") == ("to-keeps-passed-hour", "analogue")
    assert told("4:40", "8:20", "analogue") == ("hands-swapped", "analogue")
    # Twenty-five to nine names the nine, and no hand points there.
    assert told("7:40", "8:35", "analogue") is None
    assert told("7:40", "8:35", "digital") == ("hands-swapped", "digital")
    # The short hand seems to stand on the five: swapped, that would be twenty-five.
    assert told("4:55", "11:20", "digital") is None
    assert told("4:42", "8:20", "digital") is None
    assert told("4:30", "3:30", "halves") == ("to-keeps-passed-hour", "halves")
    assert told("4:00", "5:00", "digital") is None


def test_roman_numerals_add_their_own_slips_and_take_none_away() -> None:
    for manner in MANNERS:
        on_roman = (read_off(manner, "roman"),)
        for time in ALL_TIMES:
            plain, roman = wrong_readings(time, (manner,)), wrong_readings(time, on_roman)
            kept = {wrong: names - {"look-alike-numeral"} for wrong, names in roman.items()}
            assert {wrong: names for wrong, names in kept.items() if names} == plain
            for wrong, names in roman.items():
                if "look-alike-numeral" in names:
                    assert wrong in (time.plus(120), time.plus(-120))
                    # The other is taken for the one as well: neither side is a tell.
                    assert "look-alike-numeral" in wrong_readings(wrong, on_roman)[time]

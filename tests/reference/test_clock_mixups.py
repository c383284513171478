"""Mix-ups against published examples, and against counts made outside this package."""

from __future__ import annotations

import pytest

from caller.clock import ALL_TIMES, ClockTime
from caller.clock.mixups import mixup, wrong_readings
from caller.clock.said_and_shown import Manner

AT = ClockTime.parse

# Printed elsewhere with the wrong answer they name (read 25 Nov 2026).
PUBLISHED = [
    # A university mathematician's blog, 2013: a clock at 1:50 read as 2:50.
    ("hour-to-nearest", "1:50", "2:50"),
    # A children's mathematics help page (weak source).
    ("hour-to-nearest", "7:57", "8:57"),
    ("hands-swapped", "3:00", "12:15"),
]

# One example of each rule as it was worked out from its source, by hand or by a separate script. The sources
# stand beside each rule in caller/clock/mixups.py; those marked there as from memory are a lead, not a fact.
WORKED = [
    ("hands-swapped", "2:40", "8:10"),
    ("hands-swapped", "4:10", "2:20"),
    ("hands-swapped-closely", "4:40", "8:23"),
    ("numeral-as-minutes", "5:20", "5:04"),
    ("numeral-as-minutes", "5:40", "5:08"),
    ("numeral-as-minutes", "4:00", "4:12"),
    ("hour-to-nearest", "7:50", "8:50"),
    ("hour-to-nearest", "6:50", "7:50"),
    ("hour-to-larger", "7:10", "8:10"),
    ("past-for-to", "4:10", "3:50"),
    ("past-for-to", "10:20", "9:40"),
    ("counted-backwards", "10:20", "10:40"),
    ("counted-backwards", "11:25", "11:35"),
    ("counted-backwards", "11:10", "11:50"),
    ("to-keeps-passed-hour", "3:50", "2:50"),
    ("counted-from-hour-hand", "2:40", "2:30"),
    ("ones-one-more", "6:23", "6:24"),
    ("ones-one-more", "8:37", "8:38"),
    ("ones-one-less", "8:37", "8:36"),
    ("fives-one-more", "9:35", "9:40"),
    ("fives-one-more", "8:35", "8:40"),
    ("fives-one-less", "2:25", "2:20"),
    ("minute-numeral-as-hour", "4:30", "6:30"),
    ("zero-moved", "3:05", "3:50"),
    ("zero-moved", "3:50", "3:05"),
    ("money-fractions", "6:15", "6:25"),
    ("money-fractions", "7:15", "7:25"),
    ("money-fractions", "7:45", "7:35"),
    ("to-nearest-five-back", "10:17", "10:15"),
    ("to-nearest-five-on", "10:17", "10:20"),
    ("hour-kept-after-the-hour", "9:05", "8:05"),
    ("numeral-as-tens", "3:15", "3:30"),
    ("half-names-coming-hour", "4:30", "5:30"),
    ("joined-as-digits", "1:10", "12:00"),
]

# These slips are in the words "past", "to", "quarter" and "half"; the others are of the figures.
SPOKEN = {"past-for-to", "to-keeps-passed-hour", "money-fractions", "half-names-coming-hour"}


@pytest.mark.parametrize(("name", "true", "wrong"), PUBLISHED + WORKED)
def test_the_rule_gives_the_wrong_reading_of_its_example(name: str, true: str, wrong: str) -> None:
    manner: Manner = "analogue" if name in SPOKEN else "digital"
    assert mixup(name).rule(AT(true), manner) == AT(wrong)
    assert name in wrong_readings(AT(true), (manner,))[AT(wrong)]


# At how many of the 144 five-minute times two rules give the same reading, as counted by a separate script.
COLLISIONS = [
    ({"hour-to-nearest"}, {"hour-to-larger"}, 60),
    ({"hour-to-larger"}, {"minute-numeral-as-hour"}, 11),
    ({"numeral-as-minutes"}, {"counted-backwards"}, 12),
    ({"counted-backwards"}, {"counted-from-hour-hand"}, 10),
    ({"hour-to-nearest"}, {"minute-numeral-as-hour"}, 5),
    ({"to-keeps-passed-hour"}, {"minute-numeral-as-hour"}, 5),
    ({"numeral-as-minutes"}, {"counted-from-hour-hand"}, 2),
]


@pytest.mark.parametrize(("some", "others", "count"), COLLISIONS)
def test_rules_collide_as_often_as_counted_elsewhere(some: set[str], others: set[str], count: int) -> None:
    fives = [time for time in ALL_TIMES if time.minute % 5 == 0]
    manner: Manner = "analogue" if (some | others) & SPOKEN else "digital"
    given = [names for time in fives for names in wrong_readings(time, (manner,)).values()]
    assert sum(bool(names & some and names & others) for names in given) == count

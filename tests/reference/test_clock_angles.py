"""The angles of the hands against worked examples published elsewhere."""

from __future__ import annotations

from itertools import pairwise

import pytest

from caller.clock import ALL_TIMES, ClockTime, angle_between, hands

# Smaller angle between the hands, as printed in the answers of each kind of source (read 25 Nov 2026).
APTITUDE_TEXT = [("3:30", 75.0)]
EXAM_PREPARATION_TEXT = [
    ("7:25", 72.5),
    ("3:20", 20.0),
    ("4:30", 45.0),
    ("5:15", 67.5),
    ("7:40", 10.0),
    ("12:05", 27.5),
]
PROGRAMMING_CONTEST_TEXT = [
    ("2:30", 105.0),
    ("1:42", 159.0),
    ("1:43", 153.5),
    ("12:00", 0.0),
    ("6:00", 180.0),
]
# The "Clock angle problem" article of Wikipedia.
ENCYCLOPAEDIA = [("10:24", 168.0)]
# From the textbook formula |30 h - 5.5 m| by hand.
BY_HAND = [("3:40", 130.0), ("8:20", 130.0), ("12:20", 110.0), ("9:00", 90.0)]


@pytest.mark.parametrize(
    ("time", "angle_deg"),
    APTITUDE_TEXT + EXAM_PREPARATION_TEXT + PROGRAMMING_CONTEST_TEXT + ENCYCLOPAEDIA + BY_HAND,
)
def test_the_angle_between_the_hands_agrees_with_the_textbook(time: str, angle_deg: float) -> None:
    assert angle_between(ClockTime.parse(time)) == angle_deg


def test_the_hands_at_10_24_stand_where_the_encyclopaedia_puts_them() -> None:
    stand = hands(ClockTime(10, 24))
    assert (stand.hour_deg, stand.minute_deg) == (312, 144)


def test_the_hands_coincide_eleven_times_in_twelve_hours() -> None:
    # Textbook puzzle: once every 12/11 hours. The signed angle from the hour hand to the minute hand grows
    # by 5.5 degrees a minute, so it passes zero once between two minutes at each meeting.
    gaps_deg = [(hands(time).minute_deg - hands(time).hour_deg + 180) % 360 - 180 for time in ALL_TIMES]
    gaps_deg.append(gaps_deg[0])
    meetings = sum(-5.5 < before <= 0 < after for before, after in pairwise(gaps_deg))
    assert meetings == 11


def test_the_hands_stand_at_right_angles_twenty_two_times() -> None:
    angles_deg = [angle_between(time) for time in ALL_TIMES]
    angles_deg.append(angles_deg[0])
    crossings = sum(
        (before < 90 <= after) or (before >= 90 > after) for before, after in pairwise(angles_deg)
    )
    assert crossings == 22


def test_the_big_hand_on_four_and_the_little_hand_between_eight_and_nine_is_8_20() -> None:
    # A primary school's past-paper compilation, question 7 (answer worked out here).
    stands = {time: hands(time) for time in ALL_TIMES}
    shown = [time for time, at in stands.items() if at.minute_deg == 120 and 240 < at.hour_deg < 270]
    assert shown == [ClockTime(8, 20)]

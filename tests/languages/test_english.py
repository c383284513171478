from __future__ import annotations

import pytest

from caller.clock import ALL_TIMES, ClockTime, DayTime
from caller.languages import language

BRITISH, AMERICAN = language("en-GB"), language("en-US")


@pytest.mark.parametrize(
    ("time", "digital", "british", "american"),
    [
        ("4:00", "four o'clock", "four o'clock", "four o'clock"),
        ("12:00", "twelve o'clock", "twelve o'clock", "twelve o'clock"),
        ("4:01", "four oh one", "one minute past four", "one minute after four"),
        ("4:05", "four oh five", "five past four", "five after four"),
        ("4:07", "four oh seven", "seven minutes past four", "seven minutes after four"),
        ("4:10", "four ten", "ten past four", "ten after four"),
        ("4:15", "four fifteen", "quarter past four", "quarter after four"),
        ("4:25", "four twenty-five", "twenty-five past four", "twenty-five after four"),
        ("4:30", "four thirty", "half past four", "half past four"),
        ("4:35", "four thirty-five", "twenty-five to five", "twenty-five to five"),
        ("4:40", "four forty", "twenty to five", "twenty to five"),
        ("4:45", "four forty-five", "quarter to five", "quarter to five"),
        ("4:58", "four fifty-eight", "two minutes to five", "two minutes to five"),
        ("12:59", "twelve fifty-nine", "one minute to one", "one minute to one"),
    ],
)
def test_a_time_is_said_in_both_registers(time: str, digital: str, british: str, american: str) -> None:
    shown = ClockTime.parse(time)
    assert BRITISH.digital(shown).written == AMERICAN.digital(shown).written == digital
    assert BRITISH.analogue(shown).written == british
    assert AMERICAN.analogue(shown).written == american


@pytest.mark.parametrize(
    ("time", "apart"),
    [
        ("4:15", "four, one five"),
        ("4:50", "four, five zero"),
        ("4:13", "four, one three"),
        ("4:19", "four, one nine"),
        ("4:30", "four, three zero"),
        ("4:12", "four twelve"),
        ("4:20", "four twenty"),
        ("4:45", "four forty-five"),
        ("4:05", "four oh five"),
    ],
)
def test_minutes_that_could_be_misheard_are_said_digit_by_digit(time: str, apart: str) -> None:
    phrase = BRITISH.apart(ClockTime.parse(time))
    assert phrase.written == phrase.speech == apart
    assert AMERICAN.apart(ClockTime.parse(time)) == phrase


def test_kept_apart_no_minutes_end_in_teen_nor_stand_as_a_bare_ten() -> None:
    spoken = {time: BRITISH.apart(time).speech for time in ALL_TIMES}
    assert not [
        text for text in spoken.values() if "teen" in text or text.endswith(("thirty", "forty", "fifty"))
    ]


@pytest.mark.parametrize(
    ("time", "digital", "british", "american", "american_speech"),
    [
        ("0:00", "zero hundred hours", "midnight", "midnight", "midnight"),
        (
            "0:05",
            "zero zero zero five",
            "five past twelve at night",
            "twelve oh five a.m.",
            "twelve oh five AM",
        ),
        ("6:50", "oh six fifty", "ten to seven in the morning", "six fifty a.m.", "six fifty AM"),
        ("9:00", "oh nine hundred hours", "nine o'clock in the morning", "nine a.m.", "nine AM"),
        ("12:00", "twelve hundred hours", "noon", "noon", "noon"),
        (
            "12:30",
            "twelve thirty",
            "half past twelve in the afternoon",
            "twelve thirty p.m.",
            "twelve thirty PM",
        ),
        ("16:40", "sixteen forty", "twenty to five in the afternoon", "four forty p.m.", "four forty PM"),
        ("20:00", "twenty hundred hours", "eight o'clock in the evening", "eight p.m.", "eight PM"),
        ("23:10", "twenty-three ten", "ten past eleven at night", "eleven ten p.m.", "eleven ten PM"),
    ],
)
def test_a_time_of_day_is_said_on_the_24_hour_clock_and_by_its_part(
    time: str, digital: str, british: str, american: str, american_speech: str
) -> None:
    shown = DayTime.parse(time)
    assert BRITISH.day_digital(shown).speech == AMERICAN.day_digital(shown).speech == digital
    assert BRITISH.day_part(shown).written == british
    assert AMERICAN.day_part(shown).written == american
    assert AMERICAN.day_part(shown).speech == american_speech


def test_numerals_hours_and_lengths_of_time() -> None:
    assert BRITISH.numeral(ClockTime(4, 5)) == "4:05"
    assert BRITISH.hour(4) == "four"
    said = {n: BRITISH.duration(n).written for n in (0, 1, 5, 60, 61, 135)}
    assert said == {
        0: "zero minutes",
        1: "one minute",
        5: "five minutes",
        60: "one hour",
        61: "one hour one minute",
        135: "two hours fifteen minutes",
    }

from __future__ import annotations

import pytest

from caller.clock import ClockTime, DayTime
from caller.languages import language

GERMAN = language("de")


@pytest.mark.parametrize(
    ("time", "digital", "analogue"),
    [
        ("1:00", "ein Uhr", "ein Uhr"),
        ("1:05", "ein Uhr fünf", "fünf nach eins"),
        ("4:00", "vier Uhr", "vier Uhr"),
        ("4:01", "vier Uhr eins", "eine Minute nach vier"),
        ("4:07", "vier Uhr sieben", "sieben Minuten nach vier"),
        ("4:15", "vier Uhr fünfzehn", "Viertel nach vier"),
        ("4:20", "vier Uhr zwanzig", "zwanzig nach vier"),
        ("4:21", "vier Uhr einundzwanzig", "neun Minuten vor halb fünf"),
        ("4:25", "vier Uhr fünfundzwanzig", "fünf vor halb fünf"),
        ("4:29", "vier Uhr neunundzwanzig", "eine Minute vor halb fünf"),
        ("4:30", "vier Uhr dreißig", "halb fünf"),
        ("4:35", "vier Uhr fünfunddreißig", "fünf nach halb fünf"),
        ("4:39", "vier Uhr neununddreißig", "neun Minuten nach halb fünf"),
        ("4:40", "vier Uhr vierzig", "zwanzig vor fünf"),
        ("4:45", "vier Uhr fünfundvierzig", "Viertel vor fünf"),
        ("12:30", "zwölf Uhr dreißig", "halb eins"),
        ("12:59", "zwölf Uhr neunundfünfzig", "eine Minute vor eins"),
    ],
)
def test_a_time_is_said_in_both_registers(time: str, digital: str, analogue: str) -> None:
    shown = ClockTime.parse(time)
    assert GERMAN.digital(shown).written == digital
    assert GERMAN.analogue(shown).written == analogue


@pytest.mark.parametrize(
    ("time", "digital", "part"),
    [
        ("0:00", "null Uhr", "Mitternacht"),
        ("0:30", "null Uhr dreißig", "halb eins nachts"),
        ("1:01", "ein Uhr eins", "eine Minute nach eins nachts"),
        ("6:50", "sechs Uhr fünfzig", "zehn vor sieben morgens"),
        ("11:45", "elf Uhr fünfundvierzig", "Viertel vor zwölf vormittags"),
        ("12:00", "zwölf Uhr", "zwölf Uhr mittags"),
        ("16:40", "sechzehn Uhr vierzig", "zwanzig vor fünf nachmittags"),
        ("21:01", "einundzwanzig Uhr eins", "eine Minute nach neun abends"),
    ],
)
def test_a_time_of_day_is_said_on_the_24_hour_clock_and_by_its_part(
    time: str, digital: str, part: str
) -> None:
    shown = DayTime.parse(time)
    assert GERMAN.day_digital(shown).written == digital
    assert GERMAN.day_part(shown).written == part


def test_no_analogue_reading_counts_more_than_twenty_minutes() -> None:
    many = [GERMAN.number(n) for n in range(21, 60)]
    for minute in range(60):
        words = GERMAN.analogue(ClockTime(4, minute)).written.split()
        assert not set(words) & set(many)


def test_numerals_hours_and_lengths_of_time() -> None:
    assert GERMAN.numeral(ClockTime(4, 5)) == "4:05"
    assert [GERMAN.hour(n) for n in (1, 4, 21)] == ["eins", "vier", "einundzwanzig"]
    said = {n: GERMAN.duration(n).written for n in (0, 1, 60, 61, 135)}
    assert said == {
        0: "null Minuten",
        1: "eine Minute",
        60: "eine Stunde",
        61: "eine Stunde eine Minute",
        135: "zwei Stunden fünfzehn Minuten",
    }

from __future__ import annotations

import pytest

from caller.clock import ClockTime, DayTime
from caller.languages import language

FRENCH = language("fr")


@pytest.mark.parametrize(
    ("time", "digital", "analogue"),
    [
        ("1:00", "une heure", "une heure"),
        ("4:00", "quatre heures", "quatre heures"),
        ("4:01", "quatre heures une", "quatre heures une"),
        ("4:05", "quatre heures cinq", "quatre heures cinq"),
        ("4:15", "quatre heures quinze", "quatre heures et quart"),
        ("4:21", "quatre heures vingt et une", "quatre heures vingt et une"),
        ("4:30", "quatre heures trente", "quatre heures et demie"),
        ("4:39", "quatre heures trente-neuf", "cinq heures moins vingt et une"),
        ("4:40", "quatre heures quarante", "cinq heures moins vingt"),
        ("4:45", "quatre heures quarante-cinq", "cinq heures moins le quart"),
        ("12:30", "douze heures trente", "midi et demi"),
        ("11:45", "onze heures quarante-cinq", "midi moins le quart"),
        ("12:59", "douze heures cinquante-neuf", "une heure moins une"),
    ],
)
def test_a_time_is_said_in_both_registers(time: str, digital: str, analogue: str) -> None:
    shown = ClockTime.parse(time)
    assert FRENCH.digital(shown).written == digital
    assert FRENCH.analogue(shown).written == analogue


@pytest.mark.parametrize(
    ("time", "digital", "part"),
    [
        ("0:00", "zéro heure", "minuit"),
        ("0:30", "zéro heure trente", "minuit et demi"),
        ("0:45", "zéro heure quarante-cinq", "une heure moins le quart du matin"),
        ("1:01", "une heure une", "une heure une du matin"),
        ("6:50", "six heures cinquante", "sept heures moins dix du matin"),
        ("11:40", "onze heures quarante", "midi moins vingt"),
        ("12:00", "douze heures", "midi"),
        ("12:20", "douze heures vingt", "midi vingt"),
        ("12:30", "douze heures trente", "midi et demi"),
        ("16:40", "seize heures quarante", "cinq heures moins vingt de l'après-midi"),
        ("21:41", "vingt et une heures quarante et une", "dix heures moins dix-neuf du soir"),
        ("23:45", "vingt-trois heures quarante-cinq", "minuit moins le quart"),
    ],
)
def test_a_time_of_day_is_said_on_the_24_hour_clock_and_by_its_part(
    time: str, digital: str, part: str
) -> None:
    shown = DayTime.parse(time)
    assert FRENCH.day_digital(shown).written == digital
    assert FRENCH.day_part(shown).written == part


def test_the_liaison_after_twenty_is_spelled_out_for_speech_engines() -> None:
    phrase = FRENCH.day_digital(DayTime(20, 10))
    assert (phrase.written, phrase.speech) == ("vingt heures dix", "vingte heures dix")
    assert FRENCH.day_digital(DayTime(21, 20)).speech == "vingt et une heures vingt"


def test_numerals_hours_and_lengths_of_time_agree_in_gender_and_number() -> None:
    assert [FRENCH.numeral(ClockTime(4, minute)) for minute in (0, 5, 40)] == [
        "4\u00a0h",
        "4\u00a0h\u00a005",
        "4\u00a0h\u00a040",
    ]
    assert [FRENCH.hour(n) for n in (0, 1, 4, 21)] == ["zéro", "une", "quatre", "vingt et une"]
    said = {n: FRENCH.duration(n).written for n in (0, 1, 11, 21, 60, 135, 1261, 4860)}
    assert said == {
        0: "zéro minute",
        1: "une minute",
        11: "onze minutes",
        21: "vingt et une minutes",
        60: "une heure",
        135: "deux heures et quinze minutes",
        1261: "vingt et une heures et une minute",
        4860: "quatre-vingt-une heures",
    }

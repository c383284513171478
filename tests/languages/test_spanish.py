from __future__ import annotations

import pytest

from caller.clock import ClockTime, DayTime
from caller.languages import language
from caller.languages.phrases import phrases

SPANISH = language("es")


@pytest.mark.parametrize(
    ("time", "digital", "analogue"),
    [
        ("1:00", "la una en punto", "la una en punto"),
        ("4:00", "las cuatro en punto", "las cuatro en punto"),
        ("4:01", "las cuatro cero uno", "las cuatro y un minuto"),
        ("4:05", "las cuatro cero cinco", "las cuatro y cinco"),
        ("4:15", "las cuatro quince", "las cuatro y cuarto"),
        ("4:21", "las cuatro veintiuno", "las cuatro y veintiún minutos"),
        ("4:30", "las cuatro treinta", "las cuatro y media"),
        ("4:31", "las cuatro treinta y uno", "las cinco menos veintinueve minutos"),
        ("4:40", "las cuatro cuarenta", "las cinco menos veinte"),
        ("4:45", "las cuatro cuarenta y cinco", "las cinco menos cuarto"),
        ("12:50", "las doce cincuenta", "la una menos diez"),
        ("12:59", "las doce cincuenta y nueve", "la una menos un minuto"),
    ],
)
def test_a_time_is_said_in_both_registers(time: str, digital: str, analogue: str) -> None:
    shown = ClockTime.parse(time)
    assert SPANISH.digital(shown).written == digital
    assert SPANISH.analogue(shown).written == analogue


@pytest.mark.parametrize(
    ("time", "digital", "part"),
    [
        ("0:00", "las cero horas", "medianoche"),
        ("0:30", "las cero treinta", "las doce y media de la madrugada"),
        ("1:00", "la una", "la una de la madrugada"),
        ("6:50", "las seis cincuenta", "las siete menos diez de la mañana"),
        ("12:00", "las doce horas", "mediodía"),
        ("12:40", "las doce cuarenta", "la una menos veinte de la tarde"),
        ("16:40", "las dieciséis cuarenta", "las cinco menos veinte de la tarde"),
        ("16:00", "las dieciséis horas", "las cuatro de la tarde"),
        ("21:00", "las veintiuna horas", "las nueve de la noche"),
    ],
)
def test_a_time_of_day_is_said_on_the_24_hour_clock_and_by_its_part(
    time: str, digital: str, part: str
) -> None:
    shown = DayTime.parse(time)
    assert SPANISH.day_digital(shown).written == digital
    assert SPANISH.day_part(shown).written == part


@pytest.mark.parametrize(
    ("time", "words"),
    [
        ("4:15", "las cuatro y cuarto"),
        ("4:30", "las cuatro y media"),
        ("4:40", "veinte para las cinco"),
        ("4:45", "un cuarto para las cinco"),
        ("12:39", "veintiún minutos para la una"),
        ("12:59", "un minuto para la una"),
    ],
)
def test_american_spanish_counts_the_minutes_before_the_hour(time: str, words: str) -> None:
    """Real Academia Española and ASALE, Diccionario panhispánico de dudas, "hora" (from memory)."""
    american, shown = language("es-US"), ClockTime.parse(time)
    assert american.analogue(shown).written == words
    assert american.digital(shown) == SPANISH.digital(shown)


def test_american_spanish_verbs_agree_with_the_minutes_that_are_named_first() -> None:
    spoken = phrases("es-US")
    said = [
        spoken.say("answer.is", time=spoken.language.analogue(ClockTime.parse(time))).written
        for time in ("4:40", "4:45", "4:59", "12:50", "1:15", "2:15")
    ]
    assert said == [
        "Son veinte para las cinco.",
        "Es un cuarto para las cinco.",
        "Es un minuto para las cinco.",
        "Son diez para la una.",
        "Es la una y cuarto.",
        "Son las dos y cuarto.",
    ]


def test_numerals_hours_and_lengths_of_time_agree_in_gender() -> None:
    assert SPANISH.numeral(ClockTime(4, 5)) == "4:05"
    assert [SPANISH.hour(n) for n in (1, 4, 21)] == ["la una", "las cuatro", "las veintiuna"]
    said = {n: SPANISH.duration(n).written for n in (0, 1, 11, 21, 31, 60, 135, 1261)}
    assert said == {
        0: "cero minutos",
        1: "un minuto",
        11: "once minutos",
        21: "veintiún minutos",
        31: "treinta y un minutos",
        60: "una hora",
        135: "dos horas y quince minutos",
        1261: "veintiuna horas y un minuto",
    }

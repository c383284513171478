"""Readings published for teachers and learners: what is said, and what is understood."""

from __future__ import annotations

import re

import pytest

from caller.clock import ClockTime, DayTime
from caller.languages import Language, language
from tests.reference.listening import listen, listen_day


def in_words(text: str, each: Language) -> str:
    """Write the numbers of a published example out in words."""
    return re.sub(r"\d+", lambda found: each.number(int(found[0])), text)


# Primary-school past-paper compilation with mark scheme, questions 6, 9 and 11; for 1:50, 06:50, 23:10 and
# 15:10 the paper gives only the wording or only the time, and the other half is our reading.
@pytest.mark.parametrize(
    ("time", "words"), [("7:15", "quarter past 7"), ("4:45", "quarter to 5"), ("1:50", "ten to 2")]
)
def test_english_school_papers_say_dial_times_so(time: str, words: str) -> None:
    each, shown = language("en-GB"), ClockTime.parse(time)
    assert each.analogue(shown).written == in_words(words, each)
    assert listen(words, "en-GB") == {shown}


@pytest.mark.parametrize(
    ("time", "words"),
    [
        ("19:15", "quarter past 7 in the evening"),
        ("23:10", "ten past 11 at night"),
        ("06:50", "ten to 7 in the morning"),
        ("15:10", "ten past 3 in the afternoon"),
    ],
)
def test_english_school_papers_say_times_of_day_so(time: str, words: str) -> None:
    each, shown = language("en-GB"), DayTime.parse(time)
    assert each.day_part(shown).written == in_words(words, each)
    assert listen_day(words, "en-GB") == {shown}


# ACARA, Australian Curriculum v9, mathematics, elaboration of AC9M3M04.
@pytest.mark.parametrize(
    ("time", "words"),
    [
        ("12:15", "a quarter past 12"),
        ("12:15", "15 minutes past 12"),
        ("12:45", "a quarter to one"),
        ("12:45", "15 minutes before one o'clock"),
        ("10:05", "5 minutes past 10"),
    ],
)
def test_the_australian_curriculum_s_readings_are_understood(time: str, words: str) -> None:
    assert listen(words, "en-GB") == {ClockTime.parse(time)}


def test_the_australian_curriculum_s_quarters_are_said() -> None:
    each = language("en-GB")
    assert each.analogue(ClockTime(12, 15)).written == "quarter past twelve"
    assert each.analogue(ClockTime(12, 45)).written == "quarter to one"


# England, national curriculum, mathematics programmes of study (2013), Year 3 vocabulary for time: o'clock,
# a.m./p.m., morning, afternoon, noon and midnight.
def test_the_english_national_curriculum_s_vocabulary_is_used() -> None:
    british, american = language("en-GB"), language("en-US")
    day = " ".join(british.day_part(DayTime(hour)).written for hour in range(24))
    assert {"o'clock", "morning", "afternoon", "noon", "midnight"} <= set(day.split())
    day = " ".join(american.day_part(DayTime(hour)).written for hour in range(24))
    assert {"a.m.", "p.m."} <= set(day.split())
    assert listen_day("ten to seven a.m.", "en-GB") == {DayTime(6, 50)}


# Florida Department of Education, CPALMS, standard 15298: "half past, quarter after, quarter til".
@pytest.mark.parametrize(
    ("time", "words"),
    [("4:30", "half past four"), ("4:15", "quarter after four"), ("4:45", "quarter til five")],
)
def test_florida_s_terms_are_understood(time: str, words: str) -> None:
    assert listen(words, "en-US") == {ClockTime.parse(time)}


# Virginia, Standards of Learning, mathematics, 3.MG.3.b: its written examples.
@pytest.mark.parametrize(
    ("written", "digital"),
    [("4:38", "four thirty-eight"), ("7:09", "seven oh nine"), ("12:51", "twelve fifty-one")],
)
def test_virginia_s_written_times_are_written_and_said(written: str, digital: str) -> None:
    each, shown = language("en-US"), ClockTime.parse(written)
    assert each.numeral(shown) == written
    assert each.digital(shown).written == digital
    assert listen(written, "en-US") == listen(digital, "en-US") == {shown}


# Deutsche Welle, Deutsch lernen, "Uhrzeit: informell (2)" (learngerman.dw.com, l-40443235/gr-40445046): the
# table of 12:00 to 13:00, where the word Minuten may be left out. It also gives 17:45, 18:15, 17:30 and 5:40.
@pytest.mark.parametrize(
    ("time", "words"),
    [
        ("12:00", "zwölf Uhr"),
        ("12:05", "fünf nach zwölf"),
        ("12:10", "zehn nach zwölf"),
        ("12:15", "Viertel nach zwölf"),
        ("12:20", "zwanzig nach zwölf"),
        ("12:25", "fünf vor halb eins"),
        ("12:30", "halb eins"),
        ("12:35", "fünf nach halb eins"),
        ("12:40", "zwanzig vor eins"),
        ("12:45", "Viertel vor eins"),
        ("12:50", "zehn vor eins"),
        ("12:55", "fünf vor eins"),
        ("1:00", "ein Uhr"),
        ("5:45", "Viertel vor sechs"),
        ("6:15", "Viertel nach sechs"),
        ("5:30", "halb sechs"),
        ("5:40", "zwanzig vor sechs"),
    ],
)
def test_german_is_said_as_its_broadcaster_teaches_it(time: str, words: str) -> None:
    shown = ClockTime.parse(time)
    assert language("de").analogue(shown).written == words
    assert listen(f"Es ist {words}.", "de") == {shown}


# The same page, "in some parts of Germany"; the official times are from its page "Uhrzeiten" (l-67330396).
def test_german_regional_quarters_and_official_times() -> None:
    assert listen("Es ist viertel eins.", "de") == {ClockTime(12, 15)}
    assert listen("Es ist drei viertel eins.", "de") == {ClockTime(12, 45)}
    assert listen("zwanzig Minuten vor sechs", "de") == {ClockTime(5, 40)}
    assert language("de").day_digital(DayTime(20, 55)).written == "zwanzig Uhr fünfundfünfzig"
    assert language("de").day_digital(DayTime(7, 30)).written == "sieben Uhr dreißig"


# Universitat Oberta de Catalunya, "Expression de l'heure" (aprenentatge.recursos.uoc.edu, PID_00215195).
@pytest.mark.parametrize(
    ("time", "words"),
    [
        ("1:00", "une heure"),
        ("5:05", "cinq heures cinq"),
        ("5:10", "cinq heures dix"),
        ("5:15", "cinq heures et quart"),
        ("5:20", "cinq heures vingt"),
        ("5:25", "cinq heures vingt-cinq"),
        ("5:30", "cinq heures et demie"),
        ("4:35", "cinq heures moins vingt-cinq"),
        ("4:40", "cinq heures moins vingt"),
        ("4:45", "cinq heures moins le quart"),
        ("4:50", "cinq heures moins dix"),
        ("4:55", "cinq heures moins cinq"),
    ],
)
def test_french_is_said_as_language_courses_teach_it(time: str, words: str) -> None:
    shown = ClockTime.parse(time)
    assert language("fr").analogue(shown).written == words
    assert listen(f"Il est {words}.", "fr") == {shown}


# The same page for the day; "moins onze" and "deux heures treize" are from a grammar published by the
# University of Jyväskylä (research.jyu.fi/grfle/170.html), without the word "minutes" for odd minutes.
def test_french_times_of_day_and_odd_minutes() -> None:
    each = language("fr")
    parts = {1: "une heure du matin", 13: "une heure de l'après-midi", 19: "sept heures du soir", 12: "midi"}
    assert {hour: each.day_part(DayTime(hour)).written for hour in parts} == parts
    assert each.day_digital(DayTime(17, 15)).written == "dix-sept heures quinze"
    assert each.analogue(ClockTime(2, 49)).written == "trois heures moins onze"
    assert each.analogue(ClockTime(2, 13)).written == "deux heures treize"
    assert listen("deux heures quarante-deux", "fr") == {ClockTime(2, 42)}


# From memory, the Académie française on the agreement of "demi" after midi and minuit.
def test_french_half_hours_agree_with_their_noun() -> None:
    each = language("fr")
    assert each.day_part(DayTime(12, 30)).written == "midi et demi"
    assert each.day_part(DayTime(0, 30)).written == "minuit et demi"
    assert each.day_part(DayTime(2, 30)).written == "deux heures et demie du matin"


# Two lessons for learners: "Las horas en español" (espanolsi.com/las-horas-en-espanol) and "Cómo preguntar y
# decir la hora" (especialistas.aprendebrasil.com.br).
@pytest.mark.parametrize(
    ("time", "words"),
    [
        ("1:00", "la una en punto"),
        ("9:00", "las nueve en punto"),
        ("1:30", "la una y media"),
        ("7:10", "las siete y diez"),
        ("8:05", "las ocho y cinco"),
        ("1:40", "las dos menos veinte"),
        ("8:50", "las nueve menos diez"),
        ("12:55", "la una menos cinco"),
        ("7:45", "las ocho menos cuarto"),
        ("4:05", "las cuatro y cinco"),
        ("7:15", "las siete y cuarto"),
        ("9:30", "las nueve y media"),
        ("10:35", "las once menos veinticinco"),
    ],
)
def test_spanish_is_said_as_language_courses_teach_it(time: str, words: str) -> None:
    shown = ClockTime.parse(time)
    assert language("es").analogue(shown).written == words
    assert listen(f"Son {words}.", "es") == {shown}


# The same two pages: the American way of counting to the hour, parts of the day, one time in two readings.
def test_spanish_parts_of_the_day_and_american_readings() -> None:
    each = language("es")
    assert each.day_part(DayTime(16, 15)).written == "las cuatro y cuarto de la tarde"
    assert each.day_part(DayTime(21)).written == "las nueve de la noche"
    assert listen_day("las cinco de la mañana", "es") == {DayTime(5)}
    assert listen("diez para las siete", "es") == listen("faltan diez para las siete", "es")
    assert listen("faltan diez para las siete", "es") == {ClockTime(6, 50)}
    assert listen("son las once y cuarenta y cinco", "es") == listen("son las doce menos cuarto", "es")


# From memory, ICAO Annex 10 volume II on the transmission of time: minutes are sent digit by digit, with
# "zero" said in full. The English readings that are kept apart follow that habit.
def test_minutes_kept_apart_follow_radiotelephony() -> None:
    assert language("en-GB").apart(ClockTime(9, 30)).speech == "nine, three zero"

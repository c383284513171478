from __future__ import annotations

import ast
import inspect

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.clock import ALL_TIMES, ClockError, ClockTime, DayTime
from caller.languages import CODES, language
from tests.reference import listening
from tests.reference.grammars import english, french, german, rules, spanish
from tests.reference.listening import listen, listen_day


@pytest.mark.parametrize("code", CODES)
def test_every_reading_of_all_720_minutes_is_understood_as_that_time_alone(code: str) -> None:
    each = language(code)
    for time in ALL_TIMES:
        for phrase in (each.phrase(time, "digital"), each.phrase(time, "analogue"), each.apart(time)):
            assert listen(phrase.written, code) == {time}, phrase.written
            assert listen(phrase.speech, code) == {time}, phrase.speech
        assert listen(each.numeral(time), code) == {time}


@pytest.mark.parametrize("code", CODES)
def test_every_minute_of_the_day_is_understood_as_that_time_alone(code: str) -> None:
    each = language(code)
    for time in (DayTime.from_minutes(n) for n in range(1440)):
        for phrase in (each.day_digital(time), each.day_part(time)):
            assert listen_day(phrase.written, code) == {time}, phrase.written
            assert listen_day(phrase.speech, code) == {time}, phrase.speech


@pytest.mark.parametrize("module", [english, french, german, spanish, rules, listening])
def test_the_listener_shares_nothing_with_the_languages_that_speak(module: object) -> None:
    tree = ast.parse(inspect.getsource(module))  # type: ignore[arg-type]
    imported = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not [name for name in imported if name is None or name.startswith("caller.languages")]


@pytest.mark.parametrize(
    ("code", "text", "times"),
    [
        ("en-GB", "It's a quarter past 4.", ["4:15"]),
        ("en-GB", "FOUR FORTY!", ["4:40"]),
        ("en-GB", "four forty five", ["4:45"]),
        ("en-GB", "4.40", ["4:40"]),
        ("en-GB", "4 40", ["4:40"]),
        ("en-GB", "half four", ["4:30"]),
        ("en-GB", "four", ["4:00"]),
        ("en-GB", "four o’clock", ["4:00"]),
        ("en-US", "quarter of five", ["4:45"]),
        ("en-US", "ten till five", ["4:50"]),
        ("en-US", "twenty before five", ["4:40"]),
        ("en-US", "half four", []),
        ("es", "son las cinco menos veinte", ["4:40"]),
        ("es", "veinte para las cinco", ["4:40"]),
        ("es", "faltan diez para la una", ["12:50"]),
        ("es", "las cuatro y veintitres", ["4:23"]),
        ("es", "las una", []),
        ("es", "la cuatro", []),
        ("fr", "Il est quatre heures vingt-et-une minutes", ["4:21"]),
        ("fr", "midi et demi", ["12:30"]),
        ("fr", "minuit moins le quart", ["11:45"]),
        ("fr", "4h05", ["4:05"]),
        ("fr", "4:05", ["4:05"]),
        ("fr", "quatre heures zéro cinq", ["4:05"]),
        ("fr", "une heures", []),
        ("de", "Es ist halb fünf.", ["4:30"]),
        ("de", "zehn vor halb fünf", ["4:20"]),
        ("de", "zehn nach halb fünf", ["4:40"]),
        ("de", "viertel fünf", ["4:15"]),
        ("de", "drei viertel fünf", ["4:45"]),
        ("de", "dreiviertel eins", ["12:45"]),
        ("de", "zwo Uhr dreissig", ["2:30"]),
        ("de", "4:40 Uhr", ["4:40"]),
        ("de", "eins Uhr", []),
        ("de", "fünf vor halb", []),
    ],
)
def test_other_ways_to_say_a_time_are_understood(code: str, text: str, times: list[str]) -> None:
    assert listen(text, code) == {ClockTime.parse(time) for time in times}


@pytest.mark.parametrize(
    ("code", "text", "times"),
    [
        ("en-GB", "twenty to five", ["4:40", "16:40"]),
        ("en-GB", "four o'clock", ["4:00", "16:00"]),
        ("en-GB", "16:40", ["16:40"]),
        ("en-GB", "00:05", ["0:05"]),
        ("en-GB", "twenty to five p.m.", ["16:40"]),
        ("en-GB", "sixteen hundred", ["16:00"]),
        ("en-GB", "half past two at night", ["2:30"]),
        ("en-GB", "two in the afternoon", ["14:00"]),
        ("en-GB", "half past three in the evening", []),
        ("en-GB", "24:00", []),
        ("es", "las cinco menos veinte", ["4:40", "16:40"]),
        ("es", "las dos de la mañana", ["2:00"]),
        ("es", "es mediodía", ["12:00"]),
        ("fr", "cinq heures moins vingt", ["4:40", "16:40"]),
        ("fr", "seize heures", ["16:00"]),
        ("fr", "20 h 10", ["20:10"]),
        ("de", "halb fünf", ["4:30", "16:30"]),
        ("de", "halb fünf am Nachmittag", ["16:30"]),
        ("de", "16:40 Uhr", ["16:40"]),
        ("de", "vier Uhr", ["4:00"]),
    ],
)
def test_a_time_of_day_is_as_open_as_it_was_said(code: str, text: str, times: list[str]) -> None:
    assert listen_day(text, code) == {DayTime.parse(time) for time in times}


@pytest.mark.parametrize(
    ("code", "text"),
    [
        ("en-GB", ""),
        ("en-GB", "thirteen o'clock"),
        ("en-GB", "four sixty"),
        ("en-GB", "4:60"),
        ("en-GB", "half to five"),
        ("en-GB", "twenty to five past"),
        ("en-GB", "las cinco menos veinte"),
        ("es", "las trece y cuarto"),
        ("es", "las cinco menos media"),
        ("fr", "treize heures et quart"),
        ("fr", "cinq heures moins demie"),
        ("de", "halb dreizehn"),
        ("de", "vierundsechzig Uhr"),
    ],
)
def test_what_is_no_time_on_a_dial_means_nothing(code: str, text: str) -> None:
    assert listen(text, code) == frozenset()


@pytest.mark.parametrize("hear", [listen, listen_day])
def test_the_listener_refuses_a_language_it_has_no_grammar_for(hear: object) -> None:
    with pytest.raises(ClockError) as caught:
        hear("four", "tlh")  # type: ignore[operator]
    assert str(caught.value) == "The listener has no language 'tlh'; it has en-GB, en-US, es, es-US, fr, de."


@given(text=st.text(), code=st.sampled_from(CODES))
def test_any_text_at_all_is_listened_to_without_complaint(text: str, code: str) -> None:
    assert isinstance(listen(text, code), frozenset)
    assert isinstance(listen_day(text, code), frozenset)


def test_a_grammar_keeps_every_meaning_of_an_ambiguous_text() -> None:
    tens, units = rules.named({"twenty": 20}), rules.named({"five": 5})
    either = (tens + units >> rules.total) | (tens + units >> rules.dial_past)
    assert either.meanings("twenty five") == {25, rules.dial_past(20, 5)}

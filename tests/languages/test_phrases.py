from __future__ import annotations

import re

import pytest

from caller.clock import ALL_TIMES, ClockTime
from caller.languages import CODES, words
from caller.languages.phrases import phrases
from tests.reference.listening import listen

OTHERS = [code for code in CODES if code != "en-GB"]


@pytest.mark.parametrize("code", OTHERS)
def test_nothing_is_left_in_english(code: str) -> None:
    if code == "en-US":
        pytest.skip("American English is English")
    british = phrases("en-GB").sentences
    shared = {key for key, sentence in phrases(code).sentences.items() if sentence == british.get(key)}
    # "No" is no in Spanish too, and "decide" is decide; two sentences are only the move's call, or the time.
    assert shared <= {"warm-up.next", "choice.second", "is-it-so.no", "is-it-so.brief-no", "decide.short"}


@pytest.mark.parametrize("code", CODES)
def test_sentences_are_fit_for_a_voice_and_for_children(code: str) -> None:
    for key, sentence in phrases(code).sentences.items():
        bare = re.sub(r"\{\w+\}", "", sentence)
        assert not re.search(r"\d", bare), key
        assert not re.search(
            r"\b(wrong|incorrect|mistake|lose|loser|falsch|faux|incorrecto|error)\b", bare
        ), key
        assert sentence == sentence.strip()
        assert len(sentence) <= 130, key


@pytest.mark.parametrize("name", ["phrases", "screen"])
def test_french_marks_stand_after_a_space_that_does_not_break(name: str) -> None:
    # Imprimerie nationale, Lexique des règles typographiques: a space that does not break before : ? ! ;
    for key, sentence in words("fr", name).entries.items():
        assert not re.search(r"[^\u00a0][?!:;]", sentence), key


def test_spanish_questions_and_calls_open_with_their_mark() -> None:
    # Real Academia Española, Ortografía: questions and exclamations open and close.
    for key, sentence in phrases("es").sentences.items():
        assert sentence.count("?") == sentence.count("¿"), key
        assert sentence.count("!") == sentence.count("¡"), key


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("key", ["answer.is", "is-it-so.question", "be-the-clock.answer"])
def test_a_listener_hears_the_right_time_in_a_sentence(code: str, key: str) -> None:
    spoken = phrases(code)
    frame = spoken.sentences[key].split("{time}")
    one = spoken.sentences.get(f"{key}-one", spoken.sentences[key]).split("{time}")
    for time in ALL_TIMES:
        said = spoken.say(key, time=spoken.language.analogue(time)).speech
        before, after = one if time.minutes == 60 or said.startswith(one[0]) else frame
        assert time in listen(said.removeprefix(before).removesuffix(after), code)


def test_spanish_agrees_with_one_oclock() -> None:
    # Real Academia Española, Nueva gramática: "Es la una", "Son las dos".
    spanish = phrases("es")
    words = spanish.language.analogue
    assert spanish.say("answer.is", time=words(ClockTime(1, 0))).written == "Es la una en punto."
    assert spanish.say("answer.is", time=words(ClockTime(12, 45))).written == "Es la una menos cuarto."
    assert spanish.say("answer.is", time=words(ClockTime(2, 0))).written == "Son las dos en punto."
    assert spanish.say("is-it-so.question", time=words(ClockTime(1, 5))).written == "¿Es la una y cinco?"


def test_a_sentence_begins_with_a_capital_even_after_an_opening_mark() -> None:
    assert phrases("es").say("elapsed.from-hour", duration="diez minutos", time="la una").written == (
        "Y diez minutos más: la una."
    )
    assert phrases("en-GB").say("later.answer", duration="ten minutes", time="one o'clock").speech == (
        "Ten minutes later it is one o'clock."
    )

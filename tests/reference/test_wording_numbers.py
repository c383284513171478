"""Number words against num2words (LGPL), a general-purpose library with its own tables for each language."""

from __future__ import annotations

import pytest
from num2words import num2words

from caller.languages import CODES, language


@pytest.mark.parametrize("code", CODES)
def test_counting_agrees_with_the_reference_library(code: str) -> None:
    each = language(code)
    assert [each.number(n) for n in range(100)] == [num2words(n, lang=code[:2]) for n in range(100)]


@pytest.mark.parametrize("code", ["en-GB", "en-US", "de"])
def test_hours_are_plain_numbers_where_numbers_have_no_gender(code: str) -> None:
    each = language(code)
    assert [each.hour(n) for n in range(24)] == [num2words(n, lang=code[:2]) for n in range(24)]


def test_spanish_and_french_hours_differ_from_the_numbers_only_in_the_feminine_of_one() -> None:
    # "Hora" and "heure" are feminine, so hours 1 and 21 are una, veintiuna and une, vingt et une; a Spanish
    # hour also has its article.
    spanish, french = language("es"), language("fr")
    assert {n: spanish.hour(n) for n in range(24)} == {
        n: f"las {num2words(n, lang='es')}" for n in range(24)
    } | {1: "la una", 21: "las veintiuna"}
    assert {n: french.hour(n) for n in range(24)} == {n: num2words(n, lang="fr") for n in range(24)} | {
        1: "une",
        21: "vingt et une",
    }

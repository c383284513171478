"""The sentences are complete in every language."""

from __future__ import annotations

import re

import pytest

from caller.clock.mixups import MIXUPS
from caller.languages import CODES
from caller.languages.phrases import Templates, templates

ENGLISH = templates("en-GB")


def fields(forms: str | tuple[str, ...] | list[str]) -> set[str]:
    return set(re.findall(r"{(\w+)}", " ".join([forms] if isinstance(forms, str) else forms)))


@pytest.fixture(params=CODES)
def words(request: pytest.FixtureRequest) -> Templates:
    return templates(str(request.param))


def test_each_language_has_every_sentence(words: Templates) -> None:
    assert words.short.keys() == ENGLISH.short.keys()
    assert words.long.keys() == ENGLISH.long.keys()
    assert words.wrong.keys() == {each.name for each in MIXUPS}


def test_each_sentence_names_only_what_it_is_given(words: Templates) -> None:
    for forms in words.short.values():
        assert fields(list(forms)) <= {"hour", "next"}
    for forms in words.long.values():
        assert fields(list(forms)) <= {"numeral", "count", "first", "rest"}
    assert fields(words.ones) == {"ones"}
    assert fields(words.plain) in ({"wrong"}, {"Wrong"})
    # The reading is what a child should remember, so it comes last.
    assert all(sentence.endswith(" {wrong}.") for sentence in words.wrong.values())
    assert len(set(words.wrong.values())) == len(MIXUPS)


def test_forms_of_a_sentence_go_from_the_fullest_to_the_shortest(words: Templates) -> None:
    for forms in (*words.short.values(), *words.long.values()):
        lengths = [len(form) for form in forms]
        assert lengths == sorted(lengths, reverse=True)
        assert 1 <= len(forms) <= 3


def test_american_english_differs_only_where_it_says_after() -> None:
    american = templates("en-US")
    assert american.long["quarter-past"] == ["The long hand points at {numeral}: quarter after."]
    assert {**american.long, "quarter-past": ENGLISH.long["quarter-past"]} == ENGLISH.long
    assert american.wrong == ENGLISH.wrong

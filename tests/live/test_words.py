from __future__ import annotations

from collections.abc import Iterator

import pytest

from caller.languages import CODES, MODEL
from caller.live.keys import Controls, key_page
from caller.live.words import does, label_for, label_of, said, speak
from caller.screen import keytable
from caller.screen.keytable import KEYS, Action


@pytest.fixture(autouse=True)
def _speaks_the_model_again() -> Iterator[None]:
    yield
    speak(MODEL)


def test_the_model_says_what_the_table_of_keys_says() -> None:
    assert {action: does(action) for action in Action} == {action: action.value for action in Action}
    assert {key: label_of(key) for key in KEYS} == {key: keytable.label_of(key) for key in KEYS}


@pytest.mark.parametrize("code", CODES)
def test_the_key_page_is_in_one_language(code: str) -> None:
    speak(code)
    page = key_page(Controls())
    assert page.title == said("keys.title")
    shown = {text for _, text in page.rows}
    assert len(shown) == len(Action) + 1
    assert label_for(Action.HELP) in page.foot
    assert label_of("f8") in key_page(Controls(single_switch="f8")).foot
    assert "{" not in page.foot
    if not code.startswith("en"):
        assert not shown & {action.value for action in Action}


def test_a_notice_names_the_key_in_the_language_of_the_lesson() -> None:
    speak("fr")
    assert label_for(Action.PAUSE) == "Espace"
    assert label_for(Action.QUIT) == "Échap"
    assert label_for(Action.NEXT, {}) == "passer à la suite"
    assert said("count.noted") == "Noté."

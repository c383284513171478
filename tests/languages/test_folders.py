"""Each language is whole: it has every table, every entry, the same slots, nothing left in English."""

from __future__ import annotations

import re
from importlib.resources import files
from typing import Any

import pytest

from caller.clock.ladder import STEP_CODES
from caller.errors import NotFoundError
from caller.languages import CODES, MODEL, folders, language
from caller.languages.folders import TABLES, LanguageError, faults, nearest, of_this_system, table, words
from caller.moves import catalogue

OTHERS = [code for code in CODES if not code.startswith("en")]


def test_the_folders_are_the_languages() -> None:
    found = {each.name for each in files("caller.languages").iterdir() if each.is_dir()} - {"__pycache__"}
    assert {name.replace("_", "-") for name in found} == set(CODES)


def test_every_file_of_words_is_a_table_that_the_loader_knows() -> None:
    for code in CODES:
        folder = files("caller.languages").joinpath(code.replace("-", "_"))
        held = {each.name for each in folder.iterdir() if each.name != "__pycache__"}
        assert held <= {"wording.py", *(f"{name}.toml" for name in TABLES)}, code
        if "based-on" not in folders._read(code, "language"):
            assert held == {"wording.py", *(f"{name}.toml" for name in TABLES)}, code


@pytest.mark.parametrize("name", TABLES)
@pytest.mark.parametrize("code", CODES)
def test_each_language_is_whole(code: str, name: str) -> None:
    assert list(faults(table(code, name), table(MODEL, name))) == []
    assert language(code).code == code


def test_the_model_has_words_for_every_move_and_a_title_for_every_step() -> None:
    assert table(MODEL, "moves").keys() == catalogue().keys()
    assert table(MODEL, "titles").keys() == set(STEP_CODES)


@pytest.mark.parametrize("name", ["sheet", "cautions"])
@pytest.mark.parametrize("code", OTHERS)
def test_lists_are_as_long_as_in_the_model(code: str, name: str) -> None:
    for key, value in table(MODEL, name).items():
        if isinstance(value, list):
            assert len(table(code, name)[key]) == len(value), key


@pytest.mark.parametrize("name", [name for name in TABLES if name not in {"language", "reasons", "phrases"}])
@pytest.mark.parametrize("code", OTHERS)
def test_nothing_is_left_in_english(code: str, name: str) -> None:
    english, own = words(MODEL, name).entries, words(code, name).entries
    same = {
        f"{name}.{key}"
        for key, text in own.items()
        if text == english[key] and re.search("[a-z]{3}", _bare(text))
    }
    alike = {each for each in table(code, "language")["alike"] if each.startswith(f"{name}.")}
    assert same == alike


def _bare(text: object) -> str:
    return re.sub(r"\{\w+\}", "", str(text))


@pytest.mark.parametrize(
    ("own", "told"),
    [
        ({}, ["on is missing", "keys.title is missing"]),
        ({"on": "An", "keys": {"title": "Tasten", "foot": "x"}}, ["keys.foot is not known here"]),
        ({"on": " ", "keys": {"title": "T"}}, ["on is empty"]),
        ({"on": ["An"], "keys": {"title": "T"}}, ["on is not written as in en-GB"]),
        ({"on": "An {was}", "keys": {"title": "T"}}, ["on needs the slots of none, and has was"]),
        ({"on": "An {{", "keys": {"title": "T"}}, ["on has a brace too many"]),
        ({"on": "An {", "keys": {"title": "T"}}, ["on has a brace too many"]),
        ({"on": "An", "on-one": "Ein", "one": "1", "keys": {"title": "T"}}, []),
    ],
)
def test_every_lack_is_told(own: dict[str, Any], told: list[str]) -> None:
    assert list(faults(own, {"on": "On", "keys": {"title": "Keys"}})) == told


def test_a_language_that_is_not_whole_is_an_error_at_load(monkeypatch: pytest.MonkeyPatch) -> None:
    read = folders._read

    def one_short(code: str, name: str) -> dict[str, Any]:
        entries = read(code, name)
        if (code, name) == ("fr", "page"):
            del entries["pause"]
        return entries

    monkeypatch.setattr(folders, "_read", one_short)
    table.cache_clear()
    with pytest.raises(LanguageError) as told:
        table("fr", "page")
    assert str(told.value).endswith("page.toml: pause is missing.")
    table.cache_clear()


def test_an_unknown_language_is_told_with_those_there_are() -> None:
    with pytest.raises(NotFoundError, match=f'no language "tlh"; it has {", ".join(CODES)}'):
        table("tlh", "page")


def test_words_are_filled_in() -> None:
    assert words("fr", "page").say("round", n="2/6") == "Tour 2/6"


@pytest.mark.parametrize(
    ("tag", "code"),
    [
        ("es_MX.UTF-8", "es"),
        ("es_US.UTF-8", "es-US"),
        ("de_AT@euro", "de"),
        ("fr", "fr"),
        ("en_US.UTF-8", "en-US"),
        ("en_NZ", "en-GB"),
        ("pl_PL.UTF-8", None),
        ("C", None),
        ("", None),
    ],
)
def test_a_locale_is_met_by_its_language(tag: str, code: str | None) -> None:
    assert nearest(tag) == code


@pytest.mark.parametrize(
    ("environment", "code"),
    [
        ({"LANGUAGE": "pl:de:fr", "LANG": "es_ES.UTF-8"}, "de"),
        ({"LC_ALL": "fr_CA.UTF-8", "LANG": "es_ES.UTF-8"}, "fr"),
        ({"LANG": "es_ES.UTF-8"}, "es"),
        ({"LANG": "pl_PL.UTF-8"}, "en-GB"),
        ({"LANG": "C.UTF-8"}, "en-GB"),
    ],
)
def test_the_screens_speak_the_language_of_the_computer(environment: dict[str, str], code: str) -> None:
    assert of_this_system(environment) == code

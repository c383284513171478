from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from caller.errors import NotFoundError
from caller.planning.classfile import SchoolClass, class_from_text, read_class
from caller.scripts.kinds import file_schema
from caller.scripts.source import ScriptProblems

NO_NAMES = (
    "this looks like a list of pupils' names. Take it out: the caller keeps nothing about single children. "
    "Write how many seated places the class needs, and keep names in the school's own system."
)


def _told(text: str) -> str:
    with pytest.raises(ScriptProblems) as told:
        class_from_text(text, "terns.toml")
    return str(told.value)


def test_a_name_is_enough() -> None:
    assert class_from_text('name = "Terns"') == SchoolClass(name="Terns")


def test_every_key_is_read() -> None:
    text = """
    name = "Puffins"
    age = "5-6"
    step = "half-past"
    minutes = 15
    hall = "gym"
    space_m = 1.8
    shod = false
    language = "es"
    second_language = "en-GB"
    reading = "none"
    avoid = ["star-jumps", "squats"]
    seated_places = 2
    """
    puffins = class_from_text(text)
    assert puffins == SchoolClass(
        name="Puffins",
        age=(5, 6),
        step="half-past",
        minutes=15,
        hall="gym",
        space_m=1.8,
        shod=False,
        language="es",
        second_language="en-GB",
        reading="none",
        avoid=("star-jumps", "squats"),
        seated_places=2,
    )
    assert puffins.age_y == 6.0
    limits = puffins.conditions
    assert (limits.space_radius_m, limits.shod, limits.seated_needed, limits.chairs) == (
        0.9,
        False,
        True,
        False,
    )


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ('name = "Terns"\npupils = ["Ann", "Bo"]', "line 2, column 1: pupils"),
        ('name = "Terns"\nclass_roster = ["seven", "eight"]', "line 2, column 1: class_roster"),
        (
            'name = "Terns"\nÉlèves = ["a"]'.replace("É", '"É').replace("s =", 's" ='),
            "line 2, column 1: Élèves",
        ),
        ('name = "Terns"\nthe_lot = ["Ann Lee", "Bo", "Cy"]', "line 2, column 1: the_lot"),
        ('name = "Terns"\nchildren = "ann, bo"', "line 2, column 1: children"),
        ('name = "Ann, Bo, Cy"', "line 1, column 1: name"),
        ('name = "Terns"\n[seats]\nleft = ["Ann", "Bo"]', "line 2, column 1: seats"),
        ('name = "Terns"\n[seats]\nAnn = 1\nBo = 2', "line 2, column 1: seats"),
    ],
)
def test_what_looks_like_a_list_of_names_is_refused_with_the_reason(text: str, where: str) -> None:
    assert _told(text) == f"terns.toml, {where}: {NO_NAMES}"


@pytest.mark.parametrize(
    "text", ['avoid = ["squats", "plank-hold"]', 'language = "de"', 'name = "Terns, Year 2"']
)
def test_other_lists_and_words_are_no_rosters(text: str) -> None:
    assert class_from_text(text if "name" in text else f'name = "Terns"\n{text}').name.startswith("Terns")


def test_a_number_of_children_is_an_unknown_key_and_no_roster() -> None:
    assert "there is no such key" in _told('name = "Terns"\npupils = 28')


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('age = "7-6"', "age: these ages do not fit. Write the younger first, from 4 to 13 years."),
        ('age = "seven"', 'age: this needs an age band. Write two ages in quotes, like "6-7".'),
        ("minutes = 90", "minutes: 90 is outside what this may be. Choose from 5 to 60 minutes."),
        ('avoid = ["star-jump"]', 'avoid 1: there is no move called "star-jump". Did you mean star-jumps?'),
        ('reading = "fluently"', 'reading: "fluently" is not known here. Did you mean fluent?'),
        ("spase_m = 2", "spase_m: there is no such key. Did you mean space_m?"),
    ],
)
def test_a_mistake_is_told_with_its_place_and_its_mending(line: str, told: str) -> None:
    said = _told(f'name = "Terns"\n{line}')
    assert said.startswith("terns.toml, line 2, column ")
    assert said.endswith(told)


def test_a_class_without_a_name_is_refused() -> None:
    assert _told("minutes = 20") == (
        'terns.toml, line 1, column 1: this class has no name. Write its name, like name = "Terns".'
    )


def test_one_age_stands_for_both() -> None:
    assert class_from_text('name = "Terns"\nage = 7').age == (7, 7)


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError):
        read_class(tmp_path / "terns.toml")


def _validator() -> Any:
    return jsonschema.Draft202012Validator(file_schema(SchoolClass, "A class file"))


@pytest.mark.parametrize("text", ['name = "Terns"\nage = "6-7"', 'name = "Terns"\nage = 7\navoid = "squats"'])
def test_the_schema_takes_what_the_reader_takes(text: str) -> None:
    class_from_text(text)
    _validator().validate(tomllib.loads(text))


@pytest.mark.parametrize(
    "line", ['age = "six"', "minutes = 2", 'hall = "../gym.toml"', 'pupils = ["Ann", "Bo"]']
)
def test_the_schema_refuses_what_the_reader_refuses(line: str) -> None:
    text = f'name = "Terns"\n{line}'
    assert not _validator().is_valid(tomllib.loads(text))
    _told(text)

"""The published schema is held against the reference validator of JSON Schema for Python (jsonschema)."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from caller.lesson.library import ready_lessons
from caller.lesson.problems import ScriptProblems
from caller.lesson.reading import lesson_from_text
from caller.lesson.schema import lesson_schema, schema_text

PUBLISHED = Path(__file__).parents[2] / "docs" / "lesson.schema.json"


def _validator() -> Any:
    return jsonschema.Draft202012Validator(lesson_schema())


def test_the_published_schema_is_current() -> None:
    assert PUBLISHED.read_text(encoding="utf-8") == schema_text()


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json.loads(schema_text()))


@pytest.mark.parametrize("path", ready_lessons().values(), ids=lambda path: path.stem)
def test_ready_lessons_are_valid(path: Path) -> None:
    _validator().validate(tomllib.loads(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    "text",
    [
        'title = "no rounds"',
        "title = 5\n[[round]]",
        'clas = "Terns"\n[[round]]',
        "think_seconds = 1\n[[round]]",
        "think_seconds = true\n[[round]]",
        'step = "halves"\n[[round]]',
        '[[round]]\ntime = "4.40"',
        '[[round]]\ntime = "4:60"',
        '[[round]]\ntime = "24:00"',
        '[[round]]\nmoves = ["knee-lft", "march"]',
        '[[round]]\nwrong = ["1:00", "2:00", "3:00"]',
        'hall = "../x.toml"\n[[round]]',
        "[[round]]\n" * 61,
        '[[round]]\nsay = "<b>"',
    ],
)
def test_schema_and_reader_refuse_the_same_mistakes(text: str) -> None:
    assert not _validator().is_valid(tomllib.loads(text))
    with pytest.raises(ScriptProblems):
        lesson_from_text(text)

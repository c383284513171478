"""The published schemas are held against the reference validator of JSON Schema for Python (jsonschema)."""

from __future__ import annotations

import importlib.util
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import jsonschema
import pytest

from caller import paths
from caller.hall.hallfile import PRESETS, preset_names
from caller.hall.reading import read_hall
from caller.lesson.library import ready_lessons
from caller.lesson.reading import lesson_from_text
from caller.live.controls.keys import controls_of
from caller.scripts.problems import ScriptProblems
from caller.sound.manifest import read_manifest

DOCS = Path(__file__).parents[2] / "docs"
FILES = ("lesson", "class", "hall", "keys", "sounds")


def _make() -> ModuleType:
    spec = importlib.util.spec_from_file_location("docs_make", DOCS / "make.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


MAKE = _make()


def _validator(of: str = "lesson") -> Any:
    return jsonschema.Draft202012Validator(MAKE.schemas()[of])


def test_every_page_and_schema_made_by_code_is_current() -> None:
    assert {name: (DOCS / name).read_text(encoding="utf-8") for name in MAKE.pages()} == MAKE.pages()


@pytest.mark.parametrize("of", FILES)
def test_each_schema_is_a_schema(of: str) -> None:
    jsonschema.Draft202012Validator.check_schema(MAKE.schemas()[of])


def test_every_file_that_a_teacher_writes_has_a_schema() -> None:
    assert set(MAKE.schemas()) == set(FILES)
    assert {path.name.removesuffix(".schema.json") for path in DOCS.glob("*.schema.json")} == set(FILES)


def _ready() -> Iterator[tuple[str, str]]:
    for name in preset_names():
        yield "hall", PRESETS.joinpath(f"{name}.toml").read_text(encoding="utf-8")
    yield "sounds", (paths.packaged("sounds") / "manifest.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(("of", "text"), list(_ready()))
def test_ready_made_halls_and_tones_are_valid(of: str, text: str) -> None:
    _validator(of).validate(tomllib.loads(text))


@pytest.mark.parametrize(
    ("of", "text"),
    [
        ("hall", 'like = "gym"\nlength_m = 1.0'),
        ("hall", 'like = "gym"\nfloor = "feathers"'),
        ("hall", 'like = "gym"\n[speaker]\nloudness = 3'),
        ("keys", "next = 5"),
        ("keys", "jump = 'a'"),
        ("keys", "hold_seconds = 90"),
        ("sounds", "[bep]"),
        ("sounds", "beep = 3"),
        ("sounds", "[beep]\nvolume = 3"),
        ("sounds", "[beep]\nfile = '../secret.wav'"),
        ("sounds", "[beep]\nlevel_lu = 40"),
    ],
)
def test_the_other_schemas_and_readers_refuse_the_same_mistakes(of: str, text: str, tmp_path: Path) -> None:
    assert not _validator(of).is_valid(tomllib.loads(text))
    written = tmp_path / "written.toml"
    written.write_text(text, encoding="utf-8")
    readers: dict[str, Callable[[Path], object]] = {
        "hall": read_hall,
        "keys": controls_of,
        "sounds": read_manifest,
    }
    with pytest.raises(ScriptProblems):
        readers[of](written)


@pytest.mark.parametrize("path", ready_lessons().values(), ids=lambda path: path.stem)
def test_ready_lessons_are_valid(path: Path) -> None:
    _validator().validate(tomllib.loads(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    "text",
    [
        'title = "no rounds"',
        "round = []",
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

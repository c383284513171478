"""The published schemas are held against the reference validator of JSON Schema for Python (jsonschema)."""

from __future__ import annotations

import importlib.util
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

import jsonschema
import pytest

from caller import paths
from caller.hall.hallfile import PRESETS, preset_names, read_hall
from caller.lesson import Time
from caller.lesson.library import lesson_from_text, ready_lessons
from caller.live.keys import controls_of
from caller.scripts.kinds import Flag, ListOf, Number, OneOf, Text, Whole
from caller.scripts.source import ScriptProblems, parse
from caller.scripts.tables import Misfit, finish, key, read_source
from caller.sound.tones import read_manifest


@dataclass(frozen=True, slots=True, kw_only=True)
class Shed:
    """A table like those of class and hall files."""

    name: str = key("", Text(10), "A name.")
    doors: int = key(1, Whole(0, 9, "doors"), "How many doors.")
    width_m: float = key(2.0, Number(1.0, 9.5, "metres"), "How wide.")
    open: bool = key(False, Flag(), "Whether it is open.")
    kind: str = key("wood", OneOf(("wood", "brick")), "What it is made of.")
    tags: tuple[str, ...] = key((), ListOf(Text(5), 2), "Words.")


def _read(text: str) -> Shed:
    shed, place = read_source(Shed, parse(text, "shed.toml"))
    finish(place)
    return shed


def test_values_of_the_right_kind_are_taken() -> None:
    text = 'name = " the  shed "\ndoors = 2\nwidth_m = 3\nopen = true\nkind = "brick"\ntags = ["a", "b"]'
    assert _read(text) == Shed(
        name="the shed", doors=2, width_m=3.0, open=True, kind="brick", tags=("a", "b")
    )
    assert _read('tags = "a"') == Shed(tags=("a",))
    assert _read("") == Shed()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            "doors = true",
            "doors: this needs a whole number, and has true. Write a number like 0, without quotes.",
        ),
        (
            "doors = 2.0",
            "doors: this needs a whole number, and has 2.0. Write a number like 0, without quotes.",
        ),
        ("doors = 10", "doors: 10 is outside what this may be. Choose from 0 to 9 doors."),
        (
            "doors = 1" + "0" * 400,
            "doors: so large a number is outside what this may be. Choose from 0 to 9 doors.",
        ),
        (
            "width_m = false",
            "width_m: this needs a number, and has false. Write a number like 1, without quotes.",
        ),
        (
            "width_m = 1" + "0" * 400,
            "width_m: so large a number is outside what this may be. Choose from 1 to 9.5 metres.",
        ),
        (
            "width_m = -inf",
            "width_m: so large a number is outside what this may be. Choose from 1 to 9.5 metres.",
        ),
        ("open = 1", "open: this needs true or false, and has 1. Write true or false, without quotes."),
        (
            'open = "true"',
            'open: this needs true or false, and has "true". Write true or false, without quotes.',
        ),
        (
            "kind = 1979-05-27",
            'kind: a date or time without quotes is not known here. Use one of "wood", "brick".',
        ),
        ('kind = "brik"', 'kind: "brik" is not known here. Did you mean brick?'),
        ('tags = ["a", 2]', 'tags 2: this needs words, and has 2. Put it in straight quotes, like "Terns".'),
        ('tags = ["a", "b", "c"]', "tags: this list has 3 items. Keep it to 2."),
        (
            "name = {}",
            'name: this needs words, and has a group of values. Put it in straight quotes, like "Terns".',
        ),
        (
            'name = "a\\u0007"',
            "name: these words hold a bracket, a backslash or an unseen letter. Use plain words only.",
        ),
        ('nmae = "a"', "nmae: there is no such key. Did you mean name?"),
    ],
)
def test_values_of_the_wrong_kind_are_told_with_their_mending(text: str, says: str) -> None:
    with pytest.raises(ScriptProblems) as caught:
        _read(text)
    place, _, sentence = str(caught.value).partition(": ")
    assert sentence == says
    (problem,) = caught.value.problems
    assert place == f"shed.toml, line 1, column {problem.column}"
    if "no such key" not in says:
        assert problem.column > text.index("=")


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("4.4", '4.40 is a number, not a time. Write "4:40" if that is meant.'),
        (
            "4.7",
            '"4.70" is not a time: the minutes go from 00 to 59. Write hour, colon, minutes, like "4:40".',
        ),
        ("1e300", '10000000000… is a number, not a time. Write hour, colon, minutes, like "4:40".'),
        ("nan", 'nan is a number, not a time. Write hour, colon, minutes, like "4:40".'),
        ('"440"', '"440" has no colon. Write "4:40" if that is meant.'),
        (
            '"13:05"',
            (
                '"13:05" is a time of the 24-hour clock; on a dial write 1:05. '
                'Write hour, colon, minutes, like "4:40".'
            ),
        ),
        (
            '"25:00"',
            '"25:00" is not on a dial: the hours are 1 to 12. Write hour, colon, minutes, like "4:40".',
        ),
    ],
)
def test_a_number_for_a_time_is_told_as_the_time_it_seems(written: str, says: str) -> None:
    with pytest.raises(Misfit) as caught:
        Time().accept(tomllib.loads(f"time = {written}")["time"])
    assert f"{caught.value.what} {caught.value.mend}" == says


DOCS = Path(__file__).parents[2] / "docs"
FILES = ("lesson", "class", "hall", "keys", "loudspeakers", "sounds")


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

"""A class made and changed in the maker, without any window."""

from __future__ import annotations

from pathlib import Path

import pytest

from caller.errors import CallerError, UserError
from caller.maker.classes import ClassMade
from caller.planning.classfile import read_class
from caller.planning.next_lessons import classes

BY_HAND = """\
# the ones on Tuesdays
name = "Terns"
age = "6-7"     # mixed
minutes = 20
avoid = ["star-jumps"]
"""
NEW = {"name": "Puffins", "age": "7-8", "step": "quarters", "minutes": 25, "hall": "gym", "language": "en-GB"}


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    made = tmp_path / "hall-caller" / "classes"
    made.mkdir(parents=True)
    (made / "tuesday.toml").write_text(BY_HAND, encoding="utf-8")
    return made


def test_a_new_class_is_known_at_once(folder: Path) -> None:
    made = ClassMade()
    made.save(NEW)
    assert made.path == folder / "puffins.toml"
    there = read_class(made.path)
    assert (there.name, there.age, there.step, there.minutes, there.hall) == (
        "Puffins",
        (7, 8),
        "quarters",
        25,
        "gym",
    )
    assert set(classes()) == {"Terns", "Puffins"}
    with pytest.raises(UserError, match="already"):
        ClassMade().save(NEW)


def test_a_change_leaves_notes_and_all_else_as_they_were(folder: Path) -> None:
    made = ClassMade("terns")
    made.save({"minutes": 30, "hall": ""})
    text = (folder / "tuesday.toml").read_text(encoding="utf-8")
    assert text == BY_HAND.replace("minutes = 20", "minutes = 30")


def test_what_cannot_be_is_told_and_nothing_is_written(folder: Path) -> None:
    made = ClassMade("Terns")
    with pytest.raises(CallerError):
        made.save({"name": "", "minutes": 30})
    assert (folder / "tuesday.toml").read_text(encoding="utf-8") == BY_HAND

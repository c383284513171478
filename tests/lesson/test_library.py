from __future__ import annotations

from pathlib import Path

import pytest

from caller.errors import NotFoundError
from caller.lesson.library import find_lesson, ready_lessons


def test_a_ready_lesson_is_found_by_its_name() -> None:
    assert find_lesson("demo").name == "demo.toml"
    assert find_lesson("is-it-so") == ready_lessons()["is-it-so"]


def test_no_two_ready_lessons_share_a_name() -> None:
    folder = find_lesson("demo").parent
    assert len(ready_lessons()) == len(list(folder.rglob("*.toml")))


def test_a_file_is_found_by_its_path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "demo"
    path.write_text("x = 1")
    assert find_lesson(str(path)) == path
    monkeypatch.chdir(tmp_path)
    assert find_lesson("demo") == Path("demo")


def test_a_misspelt_name_gets_a_suggestion() -> None:
    with pytest.raises(NotFoundError) as near:
        find_lesson("dmo.toml")
    assert str(near.value) == 'There is no lesson "dmo.toml". Did you mean the ready lesson "demo"?'
    with pytest.raises(NotFoundError) as far:
        find_lesson("/nowhere/xyzzy123.toml")
    assert str(far.value) == 'There is no lesson "/nowhere/xyzzy123.toml". Check its name and its folder.'

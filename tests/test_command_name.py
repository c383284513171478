"""The command is `hall-caller`: plain `caller` is a builtin of bash, and nothing tells anybody to type it."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from caller.cli import VERBS

ROOT = Path(__file__).resolve().parent.parent
TEXTS = {".py", ".md", ".toml", ".yml", ".txt", ".html", ".js", ".json", ".cfg", ".sh", ".svg", ""}
ELSEWHERE = {".git", ".venv", "__pycache__", ".mypy_cache", ".ruff_cache", ".pytest_cache", ".hypothesis"}
TYPED = re.compile(
    rf"(?<![-\w/])(?<!-m )caller (?:{'|'.join(VERBS)}|--\w+)\b|`caller`|bin[/\\]caller\b|Scripts[/\\]caller\b"
)


def _told_to_type(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if TYPED.search(line)]


@pytest.mark.parametrize(
    "line", ["type `caller run demo`", "$ caller --help", "`caller` alone", ".venv/bin/caller"]
)
def test_the_search_finds_what_it_looks_for(line: str) -> None:
    assert _told_to_type(line)


@pytest.mark.parametrize("line", ["hall-caller run demo", "python -m caller run demo", "the caller reads"])
def test_the_search_lets_pass_what_may_stand(line: str) -> None:
    assert not _told_to_type(line)


def test_no_text_tells_anybody_to_type_the_shells_own_word() -> None:
    found = {}
    for path in ROOT.rglob("*"):
        inside = path.relative_to(ROOT)
        if path == Path(__file__) or path.suffix not in TEXTS or ELSEWHERE & set(inside.parts):
            continue
        if path.is_file() and (lines := _told_to_type(path.read_text(encoding="utf-8", errors="replace"))):
            found[str(inside)] = lines
    assert found == {}


def test_the_wheel_installs_the_command_under_its_own_name_only() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["scripts"] == {"hall-caller": "caller.cli:main"}


@pytest.mark.skipif(shutil.which("bash") is None, reason="there is no bash")
def test_bash_finds_the_command_where_it_is_installed() -> None:
    folder = Path(sys.executable).parent
    if not folder.joinpath("hall-caller").exists():
        pytest.skip("the program is not installed in this environment")
    line = f"PATH='{folder}':$PATH; hall-caller lessons"
    told = subprocess.run(["bash", "-lc", line], capture_output=True, text=True, check=True, env=os.environ)
    assert "harbour" in told.stdout

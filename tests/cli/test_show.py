from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from caller.cli import main
from caller.cli import show as show_verb
from caller.clock.mixups import MIXUPS
from caller.sound.kept_voice import ClipCache
from caller.sound.voice import VoiceBox

LESSON = """
title = "One clock"
class = "Terns"
seed = 4
[worked_example]
skip = true
[practice]
skip = true
[[round]]
time = "4:00"
wrong = "12:00"
"""


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> ClipCache:
    """One cold start of the real voice for all tests here."""
    return ClipCache(tmp_path_factory.mktemp("clips"))


@pytest.fixture
def script(tmp_path: Path, cache: ClipCache, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(show_verb, "VoiceBox", lambda: VoiceBox(cache))
    path = tmp_path / "one.toml"
    path.write_text(LESSON, encoding="utf-8")
    return path


def test_the_table_starts_at_nought_and_tells_the_end(
    script: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["show", str(script)]) == 0
    printed = capsys.readouterr().out.splitlines()
    assert printed[0] == "One clock, Terns"
    assert re.match(r" *0:00 +1 +welcome", printed[2])
    end = next(place for place, line in enumerate(printed) if re.match(r" *\d+:\d\d +end", line))
    behind = " ".join(" ".join(printed[end + 1 :]).split())
    assert behind.startswith("Behind the wrong readings Round 1: ")
    assert any(each.explanation in behind for each in MIXUPS)
    assert "prepares for - US Common Core, mathematics, 2010, " in behind


def test_json_holds_a_start_for_every_call_and_the_end(
    script: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["show", str(script), "--json"]) == 0
    sheet = json.loads(capsys.readouterr().out)
    assert len(sheet["starts_s"]) == len(sheet["calls"]) + 1
    assert sheet["starts_s"] == sorted(sheet["starts_s"])


def test_a_call_is_drawn_as_a_picture(script: Path, tmp_path: Path) -> None:
    target = tmp_path / "call.png"
    assert main(["show", str(script), "--call", "3", "--to", str(target)]) == 0
    assert target.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ["--call", "99", "--to", "x.png"],
            r"hall-caller: There is no call 99: this lesson has calls 1 to \d+\.\n",
        ),
        (
            ["--call", "1"],
            r"hall-caller: Say where the picture goes with --to and a name that ends in \.png\.\n",
        ),
    ],
)
def test_what_cannot_be_shown_is_one_sentence(
    script: Path, words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["show", str(script), *words]) == 2
    assert re.fullmatch(said, capsys.readouterr().err)


def test_the_activity_names_its_cut_and_the_guideline(
    script: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["show", str(script), "--activity", "--age", "8", "--mass", "26"]) == 0
    printed = capsys.readouterr().out
    assert "moderate from 3 METy" in printed
    assert "the guideline is 50%" in printed
    assert "26 kg and 8 years" in printed
    target = tmp_path / "activity.svg"
    assert main(["show", str(script), "--activity", "--to", str(target)]) == 0
    assert "<svg" in target.read_text(encoding="utf-8")


def test_an_age_that_no_table_covers_is_one_sentence(
    script: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["show", str(script), "--activity", "--age", "90"]) == 2
    assert capsys.readouterr().err.startswith("hall-caller: ")

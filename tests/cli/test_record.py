from __future__ import annotations

import json
import sqlite3
import time
from pathlib import Path

import pytest

from caller.cli import main
from caller.record import Tally
from caller.record.files import RUNNING, OneLesson, record_path
from caller.record.store import Store
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
def test_a_copy_made_before_forgetting_brings_the_class_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = tmp_path / "copy.sqlite3"
    assert main(["record", "backup", "--to", str(copy)]) == 0
    before = copy.read_bytes()
    assert main(["record", "forget", "Terns"]) == 0
    assert main(["record", "Terns"]) == 2
    capsys.readouterr()
    assert main(["record", "restore", str(copy)]) == 0
    assert capsys.readouterr().out == "Lessons taken in: 1. Here already: 0.\n"
    assert main(["record", "Terns"]) == 0
    assert main(["record", "restore", str(copy)]) == 0
    assert capsys.readouterr().out.endswith("Lessons taken in: 0. Here already: 1.\n")
    assert copy.read_bytes() == before
    assert [path.name for path in tmp_path.glob("copy*")] == ["copy.sqlite3"]


@pytest.mark.usefixtures("terns")
def test_the_record_file_itself_is_as_good_a_copy(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Copied by hand from the old computer: it says that it is written ahead."""
    copy = tmp_path / "by-hand.sqlite3"
    copy.write_bytes(record_path().read_bytes())
    assert copy.read_bytes()[18:20] == b"\2\2"
    assert main(["record", "forget", "--all"]) == 0
    capsys.readouterr()
    assert main(["record", "restore", str(copy)]) == 0
    assert capsys.readouterr().out == "Lessons taken in: 1. Here already: 0.\n"


@pytest.mark.usefixtures("terns")
def test_a_copy_is_taken_in_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A disk that is full between two writes: else a lesson without its rounds would be here already."""
    copy = tmp_path / "copy.sqlite3"
    assert main(["record", "backup", "--to", str(copy)]) == 0
    assert main(["record", "forget", "Terns"]) == 0

    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    with monkeypatch.context() as patch:
        patch.setattr(Store, "keep", full)
        assert main(["record", "restore", str(copy)]) == 1
    assert "disk is full" in capsys.readouterr().err
    assert main(["record", "restore", str(copy)]) == 0
    assert capsys.readouterr().out == "Lessons taken in: 1. Here already: 0.\n"
    with Store() as store:
        assert store.lessons("Terns")[0].rounds


@pytest.mark.usefixtures("terns")
@pytest.mark.parametrize("content", [None, b"", b"no record", b"SQLite format 3\0" + bytes(100)])
def test_what_is_no_copy_of_a_record_is_refused_and_changes_nothing(
    content: bytes | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = tmp_path / "copy.sqlite3"
    if content is not None:
        copy.write_bytes(content)
    assert main(["record", "restore", str(copy)]) == 2
    assert str(copy) in capsys.readouterr().err
    assert main(["record", "Terns"]) == 0


@pytest.mark.usefixtures("terns")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["Gannets"], 'hall-caller: The record has no class "Gannets". It has: Terns.\n'),
        (["forget"], "hall-caller: Name the class to forget, or add --all to forget every class.\n"),
        (
            ["Terns", "--to", "x.doc"],
            'hall-caller: "x.doc" does not say what to write: end its name in .csv, .png, .svg or .pdf.\n',
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_told(words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", *words]) == 2
    assert capsys.readouterr().err == said


@pytest.mark.parametrize("words", [["backup"], ["Terns", "--all"], ["forget", "--to", "x"]])
def test_what_is_not_understood_is_told_with_the_usage(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["record", *words])
    assert ended.value.code == 2
    assert capsys.readouterr().err.startswith("usage: hall-caller record")


@pytest.mark.usefixtures("terns")
@pytest.mark.parametrize("replace", [[], ["--replace"]])
def test_a_copy_over_the_record_itself_is_refused_and_the_record_stays(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], replace: list[str]
) -> None:
    before = main(["record", "Terns"]), capsys.readouterr().out
    link = tmp_path / "link.sqlite3"
    link.symlink_to(record_path())
    for target in (record_path(), link):
        assert main(["record", "backup", "--to", str(target), *replace]) == 2
        assert len(capsys.readouterr().err.splitlines()) == 1
    assert (main(["record", "Terns"]), capsys.readouterr().out) == before


@pytest.mark.usefixtures("terns")
def test_a_copy_is_the_owners_alone_whatever_was_there(tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite3"
    copy.write_bytes(b"an older one")
    copy.chmod(0o666)
    assert main(["record", "backup", "--to", str(copy)]) == 2
    assert copy.read_bytes() == b"an older one"
    assert main(["record", "backup", "--to", str(copy), "--replace"]) == 0
    assert copy.stat().st_mode & 0o777 == 0o600
    assert copy.read_bytes().startswith(b"SQLite format 3")


@pytest.mark.usefixtures("terns")
@pytest.mark.parametrize("words", [["Terns"], ["--all"]])
def test_nothing_is_forgotten_beside_a_running_lesson(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with OneLesson():
        assert main(["record", "forget", *words]) == 2
    assert capsys.readouterr().err == f"hall-caller: {RUNNING}\n"
    assert main(["record", "Terns"]) == 0


def test_without_a_class_it_says_where_the_record_is(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record"]) == 0
    own = record_path().parent
    assert capsys.readouterr().out == (
        f"The record is {record_path()}.\nIt is empty.\n"
        "For the start screen to offer a class to somebody standing in, put its file "
        f"into {own / 'classes'}.\n"
        f"Your own meanings of buttons go into {own / 'keys.toml'}.\n"
    )

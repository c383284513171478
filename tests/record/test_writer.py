from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from caller.record.model import Tally
from caller.record.store import Store
from caller.record.writer import NOT_WRITTEN, Beginning, Writer
from tests.record.conftest import a_round

FIRST = a_round(1, "7:45", "8:45", Tally(judgement="few"), 1100.0)
SECOND = a_round(2, "9:30", "10:30", Tally(missed=3), 1200.0)


def writer(path: Path) -> Writer:
    return Writer(
        Beginning(
            class_name="Terns",
            title="Quarters",
            began_s=1000.0,
            planned_s=None,
            run_sheet="{}",
            branches="{}",
        ),
        path,
    )


def wait_for(what: Callable[[], bool]) -> None:
    deadline = time.monotonic() + 20
    while not what():
        assert time.monotonic() < deadline
        time.sleep(0.01)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "record.sqlite3"


def rounds_in(path: Path) -> list[int]:
    with Store(path) as store:
        return [kept.number for lesson in store.lessons("Terns") for kept in lesson.rounds]


def test_what_is_told_is_on_the_disk_while_the_lesson_runs(path: Path) -> None:
    keeping = writer(path)
    keeping.keep(FIRST)
    keeping.reached(12)
    keeping.changed('{"changed": 1}')
    wait_for(lambda: not keeping._wanted.unwritten)
    with Store(path) as store:
        cut = store.unfinished()
        assert cut is not None
        assert (cut.call, cut.run_sheet) == (12, '{"changed": 1}')
    keeping.end(1900.0, "ended")
    assert keeping.close()
    with Store(path) as store:
        assert store.unfinished() is None
        assert store.lessons("Terns")[0].ending == "ended"


def test_a_record_damaged_before_the_lesson_is_put_aside_with_one_notice(path: Path) -> None:
    path.write_bytes(b"spilt tea" * 1000)
    keeping = writer(path)
    keeping.keep(FIRST)
    wait_for(lambda: not keeping._wanted.unwritten)
    assert keeping.notice().startswith("The class record was damaged. It is kept as record-")
    assert keeping.notice() == ""
    keeping.end(1900.0, "ended")
    assert keeping.close()
    assert rounds_in(path) == [1]
    (aside,) = path.parent.glob("*.damaged")
    assert aside.read_bytes() == b"spilt tea" * 1000


def test_a_record_damaged_during_the_lesson_loses_nothing_of_the_lesson(path: Path) -> None:
    keeping = writer(path)
    keeping.keep(FIRST)
    wait_for(lambda: not keeping._wanted.unwritten)
    size = path.stat().st_size
    for each in path.parent.iterdir():  # the file and its companions
        with each.open("r+b") as file:
            file.write(b"\x2a" * max(size, each.stat().st_size))
    keeping.reached(20)
    keeping.keep(SECOND)
    keeping.end(1900.0, "ended")
    assert keeping.close()
    assert rounds_in(path) == [1, 2]
    assert list(path.parent.glob("*.damaged"))


def test_a_locked_record_is_written_once_it_is_free_again(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("caller.record.store.WAIT_S", 0.05)
    monkeypatch.setattr("caller.record.writer._TRY_AGAIN_S", 0.05)
    Store(path).close()
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    keeping = writer(path)
    keeping.keep(FIRST)
    wait_for(lambda: bool(keeping._notices))
    assert keeping.notice() == NOT_WRITTEN
    other.execute("ROLLBACK")
    other.close()
    keeping.end(1900.0, "ended")
    assert keeping.close()
    assert keeping.notice() == ""
    assert rounds_in(path) == [1]


def test_a_record_that_cannot_be_written_at_all_stops_nothing(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    keeping = writer(tmp_path / "file" / "record.sqlite3")
    keeping.keep(FIRST)
    keeping.end(1900.0, "ended")
    assert not keeping.close()
    assert keeping.notice() == NOT_WRITTEN

from __future__ import annotations

import shutil
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from caller.languages import MODEL, words
from caller.record import Tally
from caller.record.store import Store
from caller.record.writer import Beginning, RecordWriter
from tests.record.conftest import a_round

FIRST = a_round(1, "7:45", "8:45", Tally(judgement="few"), 1100.0)
SECOND = a_round(2, "9:30", "10:30", Tally(missed=3), 1200.0)

NOT_WRITTEN = words(MODEL, "screen").say("machine.record-not-written")


def writer(path: Path) -> RecordWriter:
    return RecordWriter(
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


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("caller.record.store.WAIT_S", 0.05)
    monkeypatch.setattr("caller.record.writer._TRY_AGAIN_S", 0.05)


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Keep a record locked, as another program would."""
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    yield
    other.execute("ROLLBACK")
    other.close()


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


@pytest.mark.parametrize("statement", ["PRAGMA quick_check(1)", "PRAGMA user_version"])
def test_a_page_that_the_disk_gave_wrongly_once_puts_no_record_aside(
    path: Path, statement: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store(path) as store:
        kept_before = store.begin(
            class_name="Terns", title="Quarters", began_s=900.0, planned_s=None, stand_in=False,
            run_sheet="{}", branches="{}",
        )  # fmt: skip
        store.end(kept_before, 1000.0, "ended")
    wrong = [1]

    class Once(sqlite3.Connection):
        def execute(self, asked: str, *given: Any) -> sqlite3.Cursor:
            if asked == statement and wrong:
                wrong.pop()
                error = sqlite3.DatabaseError("database disk image is malformed")
                error.sqlite_errorcode = sqlite3.SQLITE_CORRUPT
                raise error
            return super().execute(asked, *given)

    connect = sqlite3.connect
    monkeypatch.setattr(sqlite3, "connect", lambda *given, **named: connect(*given, factory=Once, **named))
    keeping = writer(path)
    keeping.keep(FIRST)
    wait_for(lambda: not keeping._wanted.unwritten)
    keeping.end(1900.0, "ended")
    assert keeping.close()
    assert (wrong, keeping.notice()) == ([], "")
    assert not list(path.parent.glob("*.damaged"))
    with Store(path) as store:
        assert len(store.lessons("Terns")) == 2


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


@pytest.mark.usefixtures("impatient")
def test_a_locked_record_is_written_once_it_is_free_again(path: Path) -> None:
    Store(path).close()
    with locked(path):
        keeping = writer(path)
        keeping.keep(FIRST)
        wait_for(lambda: bool(keeping._notices))
        assert keeping.notice() == NOT_WRITTEN
    keeping.end(1900.0, "ended")
    assert keeping.close()
    assert keeping.notice() == ""
    assert rounds_in(path) == [1]


@pytest.mark.usefixtures("impatient")
def test_a_lesson_whose_record_stays_locked_is_taken_in_by_whoever_opens_it_next(path: Path) -> None:
    keeping = writer(path)
    keeping.keep(FIRST)
    wait_for(lambda: not keeping._wanted.unwritten)
    with locked(path):
        keeping.keep(SECOND)
        keeping.end(1900.0, "ended")
        assert keeping.close()
    with Store(path) as store:
        (lesson,) = store.lessons("Terns")
        assert [kept.tally for kept in lesson.rounds] == [FIRST.tally, SECOND.tally]
        assert lesson.ending == "ended"
        assert store.unfinished() is None
    assert not list(path.parent.glob("*.spare*"))


@pytest.mark.usefixtures("impatient")
def test_a_lesson_that_is_killed_while_the_record_is_locked_can_be_carried_on(path: Path) -> None:
    Store(path).close()
    with locked(path):
        keeping = writer(path)
        keeping.keep(FIRST)
        keeping.changed('{"changed": 1}')
        keeping.reached(12)
        wait_for(lambda: keeping._spare is not None)
        (spare,) = path.parent.glob("*.spare.sqlite3")
        left = path.with_name("left")
        wait_for(lambda: _call_in(Path(shutil.copy(spare, left))) == 12)
    keeping.end(1900.0, "ended")
    assert keeping.close()
    assert not spare.exists()
    path.unlink()
    left.rename(spare)  # it is closed after each writing, so this is all that a killed program leaves
    with Store(path) as store:
        cut = store.unfinished()
        assert cut is not None
        assert (cut.call, cut.run_sheet) == (12, '{"changed": 1}')
        assert [kept.number for kept in store.lessons("Terns")[0].rounds] == [1]


def _call_in(spare: Path) -> int | None:
    connection = sqlite3.connect(f"file:{spare}?mode=ro", uri=True)
    try:
        return next((call for (call,) in connection.execute("SELECT call FROM unfinished")), None)
    except sqlite3.Error:
        return None  # it is just being written
    finally:
        connection.close()


def test_a_lesson_whose_folder_cannot_be_written_is_kept_in_the_cache(tmp_path: Path) -> None:
    in_the_way = tmp_path / "folder"
    in_the_way.write_text("in the way")
    keeping = writer(in_the_way / "record.sqlite3")
    keeping.keep(FIRST)
    keeping.end(1900.0, "ended")
    assert keeping.close()
    assert keeping.notice() == NOT_WRITTEN
    in_the_way.unlink()
    assert rounds_in(in_the_way / "record.sqlite3") == [1]
    assert rounds_in(tmp_path / "other.sqlite3") == []


def test_a_record_that_cannot_be_written_at_all_stops_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setattr("caller.record.files.user_cache", lambda: tmp_path / "file" / "cache")
    keeping = writer(tmp_path / "file" / "record.sqlite3")
    keeping.keep(FIRST)
    keeping.end(1900.0, "ended")
    assert not keeping.close()
    assert keeping.notice() == NOT_WRITTEN

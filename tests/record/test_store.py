from __future__ import annotations

import os
import sqlite3
import stat
import threading
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

import pytest

from caller.cli.record import find_class
from caller.errors import MachineError, NotFoundError
from caller.record import Tally
from caller.record.files import set_aside, spare_paths
from caller.record.schema import STEPS, DamagedError, TooNewError
from caller.record.store import Store
from tests.record.conftest import a_round


def begin(store: Store, class_name: str = "Terns", began_s: float = 1000.0) -> int:
    return store.begin(
        class_name=class_name, title="Quarters", began_s=began_s, planned_s=900.0, stand_in=False,
        run_sheet="{}", branches="{}",
    )  # fmt: skip


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "own" / "record.sqlite3"


def test_a_lesson_comes_back_as_it_was_kept(path: Path) -> None:
    first = a_round(1, "7:45", "8:45", Tally(judgement="few"), 1100.0)
    second = a_round(2, "9:30", "10:30", Tally(missed=0), 1200.0)
    third = a_round(3, "9:15", "3:45", None, 1300.0)
    with Store(path) as store:
        number = begin(store)
        for kept in (first, second, third):
            store.keep(number, kept)
        store.end(number, 1900.0, "ended")
    with Store(path) as store:
        (lesson,) = store.lessons("terns")
    assert lesson.rounds == (first, second, third)
    assert (lesson.class_name, lesson.ended_s, lesson.ending) == ("Terns", 1900.0, "ended")


def test_what_was_counted_by_ear_comes_back_and_stays_beside_a_tally(path: Path) -> None:
    heard = (0.1, 0.2, 0.7)
    kept = replace(a_round(1, "7:45", "8:45", None, 1100.0), heard=heard)
    with Store(path) as store:
        number = begin(store)
        store.keep(number, kept)
        store.keep(number, replace(kept, tally=Tally(missed=2), heard=None))
        (lesson,) = store.lessons("Terns")
        (again,) = lesson.rounds
        assert again.tally == Tally(missed=2)
        assert again.heard == pytest.approx(heard)
        store.untell(number, 1, "round")
        (lesson,) = store.lessons("Terns")
        (untold,) = lesson.rounds
        assert untold.tally is None
        assert untold.heard == pytest.approx(heard)


@pytest.mark.parametrize("garbled", ["[]", "[1]", "{", "[-1, 2]", "[0, 0]", '"ab"', "[null, 1]", "7"])
def test_a_garbled_count_leaves_its_round_out(path: Path, garbled: str) -> None:
    with Store(path) as store:
        number = begin(store)
        store.keep(number, a_round(1, "7:45", "8:45", None, 1100.0))
        store._connection.execute("UPDATE round SET heard = ?", (garbled,))
        (lesson,) = store.lessons("Terns")
    assert lesson.rounds == ()


def test_a_second_tally_of_a_round_takes_the_place_of_the_first(path: Path) -> None:
    with Store(path) as store:
        number = begin(store)
        store.keep(number, a_round(1, "7:45", "8:45", Tally(judgement="few"), 1100.0))
        store.keep(number, a_round(1, "7:45", "8:45", Tally(judgement="half"), 1100.0))
        (lesson,) = store.lessons("Terns")
    assert [kept.tally for kept in lesson.rounds] == [Tally(judgement="half")]


def test_a_round_led_again_without_a_tally_keeps_the_one_it_had(path: Path) -> None:
    with Store(path) as store:
        number = begin(store)
        store.keep(number, a_round(1, "7:45", "8:45", Tally(missed=4), 1100.0))
        store.keep(number, a_round(1, "7:45", "8:45", None, 1500.0))
        (lesson,) = store.lessons("Terns")
    assert [(kept.at_s, kept.tally) for kept in lesson.rounds] == [(1500.0, Tally(missed=4))]


def test_the_file_and_its_companions_are_for_this_user_only(path: Path) -> None:
    if os.name != "posix":
        pytest.skip("permissions are POSIX ones")
    with Store(path) as store:
        begin(store)
        for each in path.parent.iterdir():
            assert stat.S_IMODE(each.stat().st_mode) == 0o600, each.name
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


def test_it_is_written_ahead_and_to_the_disk(path: Path) -> None:
    with Store(path) as store:
        assert store._connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert store._connection.execute("PRAGMA synchronous").fetchone() == (2,)  # FULL


def test_no_column_could_hold_a_pupil(path: Path) -> None:
    with Store(path) as store:
        tables = [
            name
            for (name,) in store._connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        ]
        columns = {
            row[1] for table in tables for row in store._connection.execute(f"PRAGMA table_info({table})")
        }
    assert columns == {
        "number", "class", "title", "began_s", "ended_s", "ending", "planned_s", "stand_in", "present",
        "lesson", "part", "at_s", "question", "step", "time", "wrong", "answer", "judgement", "missed",
        "heard", "run_sheet", "branches", "call",
    }  # fmt: skip


def test_a_record_of_the_first_kind_is_brought_up_to_date_with_its_lessons(path: Path) -> None:
    path.parent.mkdir()
    old = sqlite3.connect(path)
    old.executescript(STEPS[0] + "PRAGMA user_version = 1;")
    old.execute("INSERT INTO lesson (class, title, began_s) VALUES ('Puffins', 'O''clock', 5)")
    old.commit()
    old.close()
    with Store(path) as store:
        (lesson,) = store.lessons("Puffins")
        assert (lesson.title, lesson.present, lesson.stand_in) == ("O'clock", 25, False)
        assert store._connection.execute("PRAGMA user_version").fetchone() == (len(STEPS),)
        begin(store)


def _opened_at_once(path: Path, openers: int = 4) -> list[BaseException]:
    """Open the record from several threads at one moment, and return what any of them raised."""
    raised: list[BaseException] = []
    together = threading.Barrier(openers)

    def open_it() -> None:
        together.wait()
        try:
            with Store(path) as store:
                store.classes()
        except BaseException as error:  # a thread would only print it
            raised.append(error)

    threads = [threading.Thread(target=open_it) for _ in range(openers)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return raised


@pytest.mark.parametrize("had", [0, 1, 2], ids=lambda had: f"{had} steps had")
def test_a_record_opened_twice_at_one_moment_is_brought_up_to_date_once(tmp_path: Path, had: int) -> None:
    for number in range(25):  # of four that opened a new one at once, more than half failed
        path = tmp_path / f"{number}.sqlite3"
        with closing(sqlite3.connect(path)) as old:
            old.executescript("".join(STEPS[:had]) + f"PRAGMA user_version = {had};")
        assert _opened_at_once(path) == []
        with Store(path) as store:
            begin(store)


@pytest.mark.parametrize("whole", [True, False], ids=["whole", "damaged"])
def test_a_spare_record_met_by_several_at_one_moment_is_taken_in_once(tmp_path: Path, whole: bool) -> None:
    for number in range(10):
        path = tmp_path / f"{number}.sqlite3"
        Store(path).close()
        spare = next(spare_paths(path, 1000.0))
        if whole:
            with Store(spare) as store:
                store.end(begin(store), 1500.0, "ended")
        else:
            spare.write_bytes(b"not a record at all" * 100)
        assert _opened_at_once(path) == []
        assert not spare.exists()
        with Store(path) as store:
            assert len(store.lessons("Terns")) == whole
        assert len(list(tmp_path.glob(f"{spare.stem}*.damaged"))) == (not whole)


def test_a_record_of_a_newer_caller_is_left_as_it_is(path: Path) -> None:
    with Store(path) as store:
        store._connection.execute("PRAGMA user_version = 99")
    before = path.read_bytes()
    with pytest.raises(
        TooNewError, match=r"^The class record was written by a newer caller and is left as it is"
    ):
        Store(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("content", [b"not a record at all" * 100, b"SQLite format 3\0" + b"\x07" * 4000])
def test_a_file_that_is_no_record_is_told_and_can_be_set_aside(path: Path, content: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(content)
    with pytest.raises(DamagedError, match=r"^The class record .* is damaged\.$"):
        Store(path)
    moved = set_aside(path)
    assert moved.suffix == ".damaged"
    assert moved.read_bytes() == content
    Store(path).close()


def test_two_records_set_aside_in_the_same_second_are_both_kept(path: Path) -> None:
    path.parent.mkdir()
    names = set()
    for content in (b"one", b"two"):
        path.write_bytes(content)
        names.add(set_aside(path))
    assert {each.read_bytes() for each in names} == {b"one", b"two"}


def test_forgetting_a_class_takes_its_bytes_out_of_the_file(path: Path) -> None:
    with Store(path) as store:
        store.end(begin(store, "Kittiwakes"), 5.0, "ended")
        store.end(begin(store, "Terns"), 5.0, "ended")
        assert store.forget("kittiwakes") == 1
        assert store.classes() == ("Terns",)
    assert not any(b"Kittiwakes" in each.read_bytes() for each in path.parent.iterdir())


def test_forgetting_all_leaves_nothing(path: Path) -> None:
    with Store(path) as store:
        store.keep(begin(store), a_round(1, "7:45", "8:45", None, 1.0))
        assert store.forget(None) == 1
        assert store._connection.execute("SELECT count(*) FROM round").fetchone() == (0,)
        assert store._connection.execute("SELECT count(*) FROM unfinished").fetchone() == (0,)


def test_a_copy_is_a_whole_record_of_its_own(path: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite3"
    with Store(path) as store:
        store.keep(begin(store), a_round(1, "7:45", "8:45", None, 1.0))
        store.backup(copy)
        kept = store.lessons("Terns")
    with Store(copy) as store:
        assert store.lessons("Terns") == kept


def test_only_the_last_lesson_is_offered_to_be_carried_on(path: Path) -> None:
    with Store(path) as store:
        first = begin(store, began_s=1000.0)
        store.reached(first, 7)
        cut = store.unfinished()
        assert cut is not None
        assert (cut.number, cut.call) == (first, 7)
        assert store.unfinished(since_s=2000.0) is None
        second = begin(store, began_s=3000.0)
        store.end(second, 3900.0, "ended")
        assert store.unfinished() is None


def test_a_class_that_is_not_there_is_told_with_those_that_are(path: Path) -> None:
    with Store(path) as store:
        with pytest.raises(
            NotFoundError, match=r'^The record has no class "Gannets"\. It is empty: run a lesson first\.$'
        ):
            find_class(store, "Gannets")
        begin(store)
        assert find_class(store, " TERNS ") == "Terns"
        with pytest.raises(NotFoundError, match=r'^The record has no class "Gannets"\. It has: Terns\.$'):
            find_class(store, "Gannets")


def test_a_record_that_breaks_while_it_is_open_is_one_sentence(path: Path) -> None:
    with Store(path) as store:
        begin(store)
        store._connection.execute("DROP TABLE round")
        with pytest.raises(
            MachineError, match=r"^The class record .* cannot be used just now: no such table: round\.$"
        ):
            store.lessons("Terns")


@pytest.mark.parametrize(
    ("answer", "damaged"),
    [
        ("Tree 4 page 4: unable to get the page. error code=266", False),  # SQLITE_IOERR_READ: a failing disk
        ("Tree 4 page 4: unable to get the page. error code=11", True),  # SQLITE_CORRUPT
        ("Tree 4 page 4 cell 0: Rowid 3 out of order", True),
    ],
)
def test_a_page_that_the_disk_does_not_give_is_no_damage_and_the_record_stays_in_its_place(
    path: Path, answer: str, damaged: bool
) -> None:
    """The words are SQLite's own, as its check says them; the numbers are those of sqlite3.h."""

    class Checked:
        def execute(self, _statement: str) -> Checked:
            return self

        def fetchone(self) -> tuple[str]:
            return (answer,)

    with Store(path) as store:
        kept, store._connection = store._connection, cast(Any, Checked())
        with pytest.raises(MachineError) as told:
            store._prepare()
        store._connection = kept
    assert isinstance(told.value, DamagedError) is damaged


def test_a_spare_record_waits_where_the_record_itself_cannot_take_it(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Store(path).close()
    spare = next(spare_paths(path, 1000.0))
    with Store(spare) as store:
        store.end(begin(store), 1500.0, "ended")

    def damaged(_record: Store, *_lessons: object) -> None:
        raise DamagedError("The class record is damaged.")

    with monkeypatch.context() as patch:
        patch.setattr(Store, "add", damaged)
        Store(path).close()
    assert spare.exists()
    with Store(path) as store:
        assert [lesson.began_s for lesson in store.lessons("Terns")] == [1000.0]
    assert not spare.exists()

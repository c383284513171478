from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from caller.export.unit_store import UnitStore

PACKETS = [b"key", b"", b"\x00\x01\x02"]


def test_units_are_there_for_the_next_export_of_the_same(tmp_path: Path) -> None:
    path = tmp_path / "units"
    with UnitStore(path, "same") as store:
        store.put(30, PACKETS)
    with UnitStore(path, "same") as store:
        assert store.get(30) == PACKETS
        assert store.get(60) is None


def test_units_of_another_lesson_or_look_are_thrown_away(tmp_path: Path) -> None:
    path = tmp_path / "units"
    with UnitStore(path, "one") as store:
        store.put(0, PACKETS)
    with UnitStore(path, "other") as store:
        assert store.get(0) is None


def test_a_file_that_is_no_store_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "units"
    path.write_bytes(b"something else entirely" * 100)
    with UnitStore(path, "same") as store:
        store.put(0, PACKETS)
        assert store.get(0) == PACKETS


def test_a_damaged_unit_is_not_used(tmp_path: Path) -> None:
    path = tmp_path / "units"
    with UnitStore(path, "same") as store:
        store.put(0, PACKETS)
    with sqlite3.connect(path) as database:
        database.execute("UPDATE unit SET packets = ?", (b"kex\x00\x01\x02",))
    database.close()
    with UnitStore(path, "same") as store:
        assert store.get(0) is None


def test_no_room_is_an_error_of_the_system(tmp_path: Path) -> None:
    with UnitStore(tmp_path / "units", "same") as store:
        store._database.execute("PRAGMA max_page_count = 4")
        with pytest.raises(OSError, match=r"^database or disk is full$"):
            store.put(0, [bytes(100_000)])


def test_discarding_leaves_nothing(tmp_path: Path) -> None:
    with UnitStore(tmp_path / "units", "same") as store:
        store.put(0, PACKETS)
        store.discard()
    assert list(tmp_path.iterdir()) == []

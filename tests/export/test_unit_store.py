from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from caller.export.unit_store import UnitStore

PACKETS = [b"key", b"", b"\x00\x01\x02"]


def test_units_are_there_for_the_next_export_of_the_same(tmp_path: Path) -> None:
    with UnitStore("same", tmp_path) as store:
        store.put(30, PACKETS)
    with UnitStore("same", tmp_path) as store:
        assert store.get(30) == PACKETS
        assert store.get(60) is None


def test_units_of_another_lesson_or_look_are_not_used(tmp_path: Path) -> None:
    with UnitStore("one", tmp_path) as store:
        store.put(0, PACKETS)
    with UnitStore("other", tmp_path) as store:
        assert store.get(0) is None


def test_a_file_that_is_no_store_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "same.units"
    path.write_bytes(b"something else entirely" * 100)
    with UnitStore("same", tmp_path) as store:
        store.put(0, PACKETS)
        assert store.get(0) == PACKETS


def test_a_damaged_unit_is_not_used(tmp_path: Path) -> None:
    path = tmp_path / "same.units"
    with UnitStore("same", tmp_path) as store:
        store.put(0, PACKETS)
    with sqlite3.connect(path) as database:
        database.execute("UPDATE unit SET packets = ?", (b"kex\x00\x01\x02",))
    database.close()
    with UnitStore("same", tmp_path) as store:
        assert store.get(0) is None


def test_no_room_costs_what_is_kept_and_not_the_export(tmp_path: Path) -> None:
    with UnitStore("same", tmp_path) as store:
        assert store._database is not None
        store._database.execute("PRAGMA max_page_count = 4")
        store.put(0, [bytes(100_000)])
        assert store.get(0) is None
        store.put(30, PACKETS)
        assert store.get(30) is None
    assert list(tmp_path.iterdir()) == []


def test_no_place_to_keep_anything_costs_nothing(tmp_path: Path) -> None:
    (tmp_path / "in the way").write_text("a file")
    with UnitStore("same", tmp_path / "in the way") as store:
        store.put(0, PACKETS)
        assert store.get(0) is None
        store.discard()
    assert (tmp_path / "in the way").read_text() == "a file"


def test_two_exports_of_one_lesson_do_not_mix(tmp_path: Path) -> None:
    with UnitStore("same", tmp_path) as store:
        store.put(0, PACKETS)
        with UnitStore("same", tmp_path) as second:
            assert second.get(0) is None
            second.put(30, [b"other"])
            second.discard()
        assert store.get(0) == PACKETS
        assert store.get(30) is None


def test_what_nobody_went_on_with_is_cleared_away(tmp_path: Path) -> None:
    old = tmp_path / "old.units"
    old.write_bytes(b"old")
    os.utime(old, (0, 0))
    with UnitStore("same", tmp_path):
        assert not old.exists()


def test_discarding_leaves_nothing(tmp_path: Path) -> None:
    with UnitStore("same", tmp_path) as store:
        store.put(0, PACKETS)
        store.discard()
    assert list(tmp_path.iterdir()) == []

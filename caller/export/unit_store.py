"""Finished units kept in the cache until a video is whole, so that an export cut short goes on where it was.

An SQLite file: a unit is in it wholly or not at all, even if the process is killed.
"""

from __future__ import annotations

import contextlib
import sqlite3
import time
import zlib
from itertools import accumulate, pairwise
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from caller.file_writing import private_file
from caller.paths import private_folder, user_cache

_TABLE: Final = (
    "CREATE TABLE IF NOT EXISTS unit "
    "(start INTEGER PRIMARY KEY, sizes TEXT NOT NULL, packets BLOB NOT NULL, crc INTEGER NOT NULL)"
)
_KEPT_S: Final = 7 * 24 * 3600.0


class UnitStore:
    """Packets of finished units by the frame they start at.

    Keeping them is a help, never a need: where there is no room, no right or no place for them, or another
    export of the same lesson has them, nothing is kept and nothing is said.

    Parameters
    ----------
    fingerprint
        What the pictures depend on. What an earlier export left is used if it was for the same.
    folder
        Where they are kept; in the user's cache if left out.
    """

    def __init__(self, fingerprint: str, folder: Path | None = None) -> None:
        folder = user_cache() / "videos" if folder is None else folder
        self._path = folder / f"{fingerprint}.units"
        self._database: sqlite3.Connection | None = None
        try:
            private_folder(folder)
            _clear_old(folder)
            self._open()
        except (sqlite3.OperationalError, OSError):
            self._let_go()
        except (sqlite3.DatabaseError, UnicodeDecodeError):  # the second: SQLite's words quote the damage
            self.discard()
            with contextlib.suppress(sqlite3.Error, OSError, UnicodeDecodeError):
                self._open()

    def _open(self) -> None:
        private_file(self._path)
        database = self._database = sqlite3.connect(self._path, timeout=0.0)
        database.execute("PRAGMA locking_mode = EXCLUSIVE")  # two exports of one lesson do not mix
        if database.execute("PRAGMA quick_check(1)").fetchone() != ("ok",):
            raise sqlite3.DatabaseError("damaged")
        with database:
            database.execute(_TABLE)
            database.execute("DELETE FROM unit WHERE start < 0")  # takes the lock

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._let_go()

    def get(self, start: int) -> list[bytes] | None:
        """Return the packets of a unit, or None where they are not there or are damaged."""
        if self._database is None:
            return None
        try:
            row = self._database.execute(
                "SELECT sizes, packets, crc FROM unit WHERE start = ?", (start,)
            ).fetchone()
            if row is None or zlib.crc32(row[1]) != row[2]:
                return None
            edges = [0, *accumulate(map(int, row[0].split()))]
        except (sqlite3.DatabaseError, ValueError, TypeError):
            return None
        return [row[1][first:after] for first, after in pairwise(edges)]

    def put(self, start: int, packets: list[bytes]) -> None:
        """Keep the packets of a unit; where there is no room, this and what follows is not kept."""
        if self._database is None:
            return
        joined = b"".join(packets)
        sizes = " ".join(str(len(packet)) for packet in packets)
        row = (start, sizes, joined, zlib.crc32(joined))
        try:
            with self._database:
                self._database.execute("INSERT OR REPLACE INTO unit VALUES (?, ?, ?, ?)", row)
        except (sqlite3.DatabaseError, OSError):
            self.discard()  # the room it takes is better left to the video

    def discard(self) -> None:
        """Close the file and delete it."""
        mine = self._database is not None
        self._let_go()
        if mine:
            for leftover in (self._path, self._path.with_name(self._path.name + "-journal")):
                with contextlib.suppress(OSError):
                    leftover.unlink(missing_ok=True)

    def _let_go(self) -> None:
        if self._database is not None:
            with contextlib.suppress(sqlite3.Error):
                self._database.close()
            self._database = None


def _clear_old(folder: Path) -> None:
    """Delete what belongs to exports that nobody has gone on with."""
    for left in folder.glob("*.units*"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > _KEPT_S:
                left.unlink()

"""Finished units kept beside a video until it is whole, so that an export cut short goes on where it was.

An SQLite file: a unit is in it wholly or not at all, even if the process is killed.
"""

from __future__ import annotations

import sqlite3
import zlib
from itertools import accumulate, pairwise
from pathlib import Path
from types import TracebackType
from typing import Final, Self

_TABLES: Final = """
CREATE TABLE IF NOT EXISTS video (fingerprint TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS unit (
    start INTEGER PRIMARY KEY, sizes TEXT NOT NULL, packets BLOB NOT NULL, crc INTEGER NOT NULL
);
"""


class UnitStore:
    """Packets of finished units by the frame they start at.

    Parameters
    ----------
    path
        The file. What an earlier export left in it is used if it was for the same `fingerprint`, and thrown
        away otherwise.
    fingerprint
        What the pictures depend on.
    """

    def __init__(self, path: Path, fingerprint: str) -> None:
        self._path = path
        try:
            self._open(fingerprint)
        except (sqlite3.DatabaseError, UnicodeDecodeError):  # the second: SQLite's words quote the damage
            self.discard()
            self._open(fingerprint)

    def _open(self, fingerprint: str) -> None:
        self._database = sqlite3.connect(self._path)
        if self._database.execute("PRAGMA quick_check(1)").fetchone() != ("ok",):
            raise sqlite3.DatabaseError("damaged")
        with self._database:
            self._database.executescript(_TABLES)
            kept = self._database.execute("SELECT fingerprint FROM video").fetchall()
            if kept != [(fingerprint,)]:
                self._database.execute("DELETE FROM video")
                self._database.execute("DELETE FROM unit")
                self._database.execute("INSERT INTO video VALUES (?)", (fingerprint,))

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._database.close()

    def get(self, start: int) -> list[bytes] | None:
        """Return the packets of a unit, or None where they are not there or are damaged."""
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
        """Keep the packets of a unit.

        Raises
        ------
        OSError
            If there is no room for them, or the file is damaged.
        """
        joined = b"".join(packets)
        sizes = " ".join(str(len(packet)) for packet in packets)
        row = (start, sizes, joined, zlib.crc32(joined))
        try:
            with self._database:
                self._database.execute("INSERT OR REPLACE INTO unit VALUES (?, ?, ?, ?)", row)
        except sqlite3.DatabaseError as error:
            raise OSError(str(error)) from error

    def discard(self) -> None:
        """Close the file and delete it."""
        self._database.close()
        for leftover in (self._path, self._path.with_name(self._path.name + "-journal")):
            leftover.unlink(missing_ok=True)

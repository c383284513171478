"""The record's tables, in the order in which they came to be.

Each step is run once on a record that has not had it; `PRAGMA user_version` counts the steps a file has
had. A step that has been released is never changed again: a later one mends it.
"""

from __future__ import annotations

import sqlite3
from typing import Final

from caller.errors import MachineError

STEPS: Final[tuple[str, ...]] = (
    """
    CREATE TABLE lesson (
        number INTEGER PRIMARY KEY,
        class TEXT NOT NULL COLLATE NOCASE,
        title TEXT NOT NULL,
        began_s REAL NOT NULL,
        ended_s REAL,
        ending TEXT NOT NULL DEFAULT '',
        planned_s REAL
    );
    CREATE INDEX lesson_of_class ON lesson (class, began_s);
    CREATE TABLE round (
        lesson INTEGER NOT NULL REFERENCES lesson (number) ON DELETE CASCADE,
        number INTEGER NOT NULL,
        part TEXT NOT NULL,
        at_s REAL NOT NULL,
        question TEXT NOT NULL,
        step TEXT NOT NULL,
        time TEXT NOT NULL,
        wrong TEXT NOT NULL,
        judgement TEXT,
        missed INTEGER,
        PRIMARY KEY (lesson, number, part)
    );
    """,
    # To carry on after a power cut, and to tell who led and on which side the answer stood.
    """
    ALTER TABLE round ADD COLUMN answer TEXT NOT NULL DEFAULT '';
    ALTER TABLE lesson ADD COLUMN stand_in INTEGER NOT NULL DEFAULT 0;
    ALTER TABLE lesson ADD COLUMN present INTEGER NOT NULL DEFAULT 25;
    CREATE TABLE unfinished (
        lesson INTEGER PRIMARY KEY REFERENCES lesson (number) ON DELETE CASCADE,
        run_sheet TEXT NOT NULL,
        branches TEXT NOT NULL,
        call INTEGER NOT NULL
    );
    """,
    # What was counted by ear: how likely every count of those who had it is, as a list in JSON.
    """
    ALTER TABLE round ADD COLUMN heard TEXT;
    """,
)

TOO_NEW: Final = (
    "The class record was written by a newer caller and is left as it is: "
    "use that newer caller, or move the file {path} away to begin a new record."
)


class TooNewError(MachineError):
    """The record was written by a newer program, which knows more than this one."""


def bring_up_to_date(connection: sqlite3.Connection, path: str) -> None:
    """Run the steps that this record has not had yet, each as one transaction.

    Raises
    ------
    TooNewError
        If the record has had steps that this program does not know.
    """
    (had,) = connection.execute("PRAGMA user_version").fetchone()
    if had > len(STEPS):
        raise TooNewError(TOO_NEW.format(path=path))
    for number, step in enumerate(STEPS[had:], start=had + 1):
        connection.executescript(f"BEGIN IMMEDIATE;\n{step}\nPRAGMA user_version = {number};\nCOMMIT;")

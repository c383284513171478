"""The record's tables, in the order in which they came to be, and their rows read, however garbled."""

from __future__ import annotations

import json
import sqlite3
import time
from pathlib import Path
from typing import Any, Final, cast, get_args

from caller.clock import ClockTime
from caller.errors import MachineError
from caller.record import Judgement, Offered, RoundKept, Tally

EARLIEST_S, LATEST_S = 0.0, 32_503_680_000.0  # the years 1970 to 2999, in seconds since 1970
LessonRow = tuple[int, str, str, float, float | None, str, float | None, int, int]
RoundRow = tuple[int, str, float, str, str, str, str, str, str | None, int | None, str | None]
LESSON: Final = "number, class, title, began_s, ended_s, ending, planned_s, stand_in, present"
ROUND: Final = "number, part, at_s, question, step, time, wrong, answer, judgement, missed, heard"
TROUBLE: Final = (sqlite3.Error, UnicodeDecodeError)
"""What SQLite raises; the second where its own words quote a damaged file."""

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


WAIT_S: Final = 5.0
"""How long another program that is writing is waited for."""
_NEXT_TRY_S: Final = 0.01


class TooNewError(MachineError):
    """The record was written by a newer program, which knows more than this one."""


def write_ahead(connection: sqlite3.Connection) -> None:
    """Have changes written ahead; the file keeps that, so that only a new one changes its kind.

    For this alone SQLite does not wait for another program (sqlite.org/c3ref/busy_handler.html).
    """
    give_up_s = time.monotonic() + WAIT_S
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > give_up_s:
                raise
            time.sleep(_NEXT_TRY_S)
        else:
            return


def bring_up_to_date(connection: sqlite3.Connection, path: str) -> None:
    """Run the steps that this record has not had yet, all or none, each once whoever opens it beside us.

    Raises
    ------
    TooNewError
        If the record has had steps that this program does not know.
    """
    if _steps_had(connection, path) == len(STEPS):
        return  # without a lock: a lesson may be writing
    with connection:
        connection.execute("BEGIN IMMEDIATE")
        # Asked again: another opener may have been first, and only who holds the lock knows.
        for step in STEPS[_steps_had(connection, path) :]:
            for statement in step.split(";"):
                connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {len(STEPS)}")


def _steps_had(connection: sqlite3.Connection, path: str) -> int:
    (had,) = connection.execute("PRAGMA user_version").fetchone()
    if had > len(STEPS):
        raise TooNewError(TOO_NEW.format(path=path))
    return int(had)


class DamagedError(MachineError):
    """The record's file cannot be read as a record."""


def is_damage(error: Exception) -> bool:
    """Tell whether an error means that the file is damaged, rather than locked, full or out of reach."""
    if isinstance(error, DamagedError | UnicodeDecodeError):
        return True
    code = getattr(error, "sqlite_errorcode", None)
    return code is not None and code & 0xFF in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


def record_fault(error: Exception, path: Path) -> MachineError:
    """Return what to tell of an error that SQLite raised over the record at `path`."""
    if is_damage(error):
        return DamagedError(f"The class record {path} is damaged.")
    return MachineError(f"The class record {path} cannot be used just now: {error}.")


def dated(row: LessonRow) -> bool:
    """Tell whether a lesson began at a moment that a calendar has; a row edited by hand need not."""
    return EARLIEST_S <= row[3] <= LATEST_S and (row[4] is None or EARLIEST_S <= row[4] <= LATEST_S)


def readable(row: tuple[object, ...], kind: Any) -> bool:
    """Tell whether a row is of its kind: SQLite gives whatever type a damaged cell claims to be."""
    return all(isinstance(value, fitting) for value, fitting in zip(row, get_args(kind), strict=True))


def round_of(row: RoundRow) -> RoundKept | None:
    """Return the round that a row holds; None where a failing disk has garbled it."""
    if not readable(row, RoundRow):
        return None
    number, part, at_s, question, step, time_text, wrong, answer, judgement, missed, heard = row
    if judgement not in (None, *get_args(Judgement)):
        return None
    try:
        return RoundKept(
            number=number,
            part=part,
            at_s=at_s,
            question=question,
            step=step,
            time=ClockTime.parse(time_text),
            wrong=tuple(
                Offered(time=ClockTime.parse(each), mixups=frozenset(names))
                for each, names in json.loads(wrong)
            ),
            answer=answer,
            tally=Tally(judgement=cast(Judgement | None, judgement), missed=missed)
            if judgement or missed is not None
            else None,
            heard=_chances(heard),
        )
    except (ValueError, TypeError, RecursionError):
        return None


def _chances(text: str | None) -> tuple[float, ...] | None:
    """Return what was counted by ear, summing to 1; None where nothing was.

    Raises
    ------
    ValueError, TypeError
        If it is no such list.
    """
    if text is None:
        return None
    chances = [float(each) for each in json.loads(text)]
    total = sum(chances)
    if len(chances) < 2 or min(chances) < 0.0 or not 0.5 < total < 2.0:
        raise ValueError("These are no probabilities of counts.")
    return tuple(each / total for each in chances)

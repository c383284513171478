"""The record as a file: SQLite, written ahead (WAL), for this user's eyes only; and what a class can read."""

from __future__ import annotations

import json
import re
import sqlite3
import time
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from caller.errors import CallerError, MachineError
from caller.file_reading import is_file
from caller.file_writing import private_file, replacing
from caller.paths import private_folder
from caller.record import USUAL_PRESENT, LessonKept, RoundKept, Tally, Unfinished
from caller.record.files import COMPANIONS, Alone, record_path, remove, set_aside, spares_of
from caller.record.knowledge import Knowledge, know
from caller.record.schema import (
    LESSON,
    ROUND,
    TROUBLE,
    WAIT_S,
    DamagedError,
    LessonRow,
    bring_up_to_date,
    dated,
    is_damage,
    readable,
    record_fault,
    round_of,
    write_ahead,
)

_TAKING_IN: Final = "taking-in.lock"
_NEW_TALLY: Final = "".join(
    f", {part} = iif(excluded.judgement IS NULL AND excluded.missed IS NULL, {part}, excluded.{part})"
    for part in ("judgement", "missed")
)


class Store:
    """The record, open. Every method that writes is one transaction, on the disk when it returns.

    Opening takes in the lessons that were kept elsewhere while the record could not be written.

    Parameters
    ----------
    path
        The file; made, with its folder, if it is not there.

    Raises
    ------
    DamagedError
        If the file is no record, or a damaged one.
    TooNewError
        If a newer program wrote it.
    MachineError
        If it cannot be opened, or another program keeps it locked.
    """

    def __init__(self, path: Path | None = None) -> None:
        self.path = record_path() if path is None else path
        try:
            private_folder(self.path.parent)
            # SQLite gives its companion files the same permissions as the file that it finds.
            private_file(self.path)
            self._connection = sqlite3.connect(self.path, timeout=WAIT_S, isolation_level=None)
        except (OSError, sqlite3.OperationalError) as error:
            why = (error.strerror if isinstance(error, OSError) else None) or error
            raise MachineError(f"The class record {self.path} cannot be opened: {why}.") from error
        try:
            self._prepare()
        except TROUBLE as error:
            self._connection.close()
            raise record_fault(error, self.path) from error
        except MachineError:
            self._connection.close()
            raise
        self._take_in_spares()

    def _prepare(self) -> None:
        run = self._connection.execute
        (answer,) = run("PRAGMA quick_check(1)").fetchone()
        if answer != "ok":
            # A page that the disk did not give is told of as a damaged one is, with the number of the error.
            told = re.search(r"error code=(\d+)", answer)
            if told and int(told[1]) & 0xFF == sqlite3.SQLITE_IOERR:
                raise MachineError(f"The class record {self.path} cannot be read just now: try again.")
            raise DamagedError(f"The class record {self.path} is damaged.")
        write_ahead(self._connection)
        run("PRAGMA synchronous = FULL")  # a power cut takes nothing that was told as kept
        run("PRAGMA foreign_keys = ON")
        bring_up_to_date(self._connection, str(self.path))

    def _take_in_spares(self) -> None:
        spares = spares_of(self.path)
        if spares:
            with suppress(BlockingIOError), Alone(self.path.with_name(_TAKING_IN)):  # else another is at it
                for spare in spares:
                    self._take_in(spare)

    def _take_in(self, path: Path) -> None:
        """Write a spare record's lessons into this one and delete it; where that fails, it waits."""
        for _ in range(2):  # a disk may give a wrong page once
            try:
                with Store(path) as spare:
                    lessons, cut_off = spare.every_lesson(), spare.unfinished()
            except (MachineError, *TROUBLE) as error:
                if not is_damage(error):
                    return
            else:
                with suppress(MachineError, *TROUBLE):
                    self.add(lessons, cut_off)
                    remove(path)
                return
        with suppress(OSError):  # the folder is read-only
            set_aside(path)

    def add(self, lessons: Iterable[LessonKept], cut_off: Unfinished | None = None) -> None:
        """Keep lessons that were kept elsewhere, all or none, and how to carry on with one cut off."""
        with self._told_plainly(), self._transaction():
            for lesson in lessons:
                self._add(lesson, cut_off)

    def _add(self, lesson: LessonKept, cut_off: Unfinished | None) -> None:
        number = self.begin(
            class_name=lesson.class_name,
            title=lesson.title,
            began_s=lesson.began_s,
            planned_s=lesson.planned_s,
            stand_in=lesson.stand_in,
            run_sheet=cut_off.run_sheet if cut_off is not None else "",
            branches=cut_off.branches if cut_off is not None else "",
        )
        for kept in lesson.rounds:
            self.keep(number, kept)
        if cut_off is not None:
            self.changed(number, cut_off.run_sheet)
            self.reached(number, cut_off.call)
        if lesson.ended_s is not None:
            self.end(number, lesson.ended_s, lesson.ending)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def begin(
        self,
        *,
        class_name: str,
        title: str,
        began_s: float,
        planned_s: float | None,
        stand_in: bool,
        run_sheet: str,
        branches: str,
    ) -> int:
        """Keep that a lesson begins, and what carrying on with it would need; return its number.

        A lesson that is kept already, by its class and the moment it began, is not kept twice.
        """
        with self._transaction():
            known = self._connection.execute(
                "SELECT number FROM lesson WHERE class = ? AND began_s = ?", (class_name, began_s)
            ).fetchone()
            if known is not None:
                return int(known[0])
            number = self._connection.execute(
                "INSERT INTO lesson (class, title, began_s, planned_s, stand_in) VALUES (?, ?, ?, ?, ?)",
                (class_name, title, began_s, planned_s, stand_in),
            ).lastrowid
            assert number is not None  # an INSERT that did not raise has made a row
            self._connection.execute(
                "INSERT INTO unfinished (lesson, run_sheet, branches, call) VALUES (?, ?, ?, 0)",
                (number, run_sheet, branches),
            )
        return number

    def reached(self, lesson: int, call: int) -> None:
        """Keep that a call began."""
        self._write("UPDATE unfinished SET call = ? WHERE lesson = ?", (call, lesson))

    def changed(self, lesson: int, run_sheet: str) -> None:
        """Keep the run sheet as it now stands."""
        self._write("UPDATE unfinished SET run_sheet = ? WHERE lesson = ?", (run_sheet, lesson))

    def keep(self, lesson: int, kept: RoundKept) -> None:
        """Keep a round, in the place of what was kept of it before.

        A tally stays until there is another: a round that is led again after a power cut may have none.
        """
        tally = kept.tally or Tally()
        wrong = [[str(each.time), sorted(each.mixups)] for each in kept.wrong]
        self._write(
            f"INSERT INTO round (lesson, {ROUND}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) "
            f"ON CONFLICT (lesson, number, part) DO UPDATE SET at_s = excluded.at_s{_NEW_TALLY}"
            ", heard = ifnull(excluded.heard, heard)",
            (
                lesson,
                kept.number,
                kept.part,
                kept.at_s,
                kept.question,
                kept.step,
                str(kept.time),
                json.dumps(wrong),
                kept.answer,
                tally.judgement,
                tally.missed,
                json.dumps([round(each, 4) for each in kept.heard]) if kept.heard else None,
            ),
        )

    def untell(self, lesson: int, number: int, part: str) -> None:
        """Keep no tally of a round any more: it was taken back."""
        self._write(
            "UPDATE round SET judgement = NULL, missed = NULL WHERE lesson = ? AND number = ? AND part = ?",
            (lesson, number, part),
        )

    def end(self, lesson: int, ended_s: float, ending: str) -> None:
        """Keep that a lesson is over; there is nothing to carry on with any more."""
        with self._transaction():
            self._connection.execute(
                "UPDATE lesson SET ended_s = ?, ending = ? WHERE number = ?", (ended_s, ending, lesson)
            )
            self._connection.execute("DELETE FROM unfinished WHERE lesson = ?", (lesson,))

    def unfinished(self, *, since_s: float = 0.0) -> Unfinished | None:
        """Return the last lesson of all, if it was cut off and began after `since_s`."""
        with self._told_plainly():
            row = self._connection.execute(
                "SELECT number, class, title, began_s, run_sheet, branches, call, stand_in "
                "FROM (SELECT * FROM lesson ORDER BY began_s DESC, number DESC LIMIT 1) "
                "JOIN unfinished ON lesson = number WHERE began_s >= ?",
                (since_s,),
            ).fetchone()
        if row is None:
            return None
        number, class_name, title, began_s, run_sheet, branches, call, stand_in = row
        return Unfinished(
            number=number,
            class_name=class_name,
            title=title,
            began_s=began_s,
            run_sheet=run_sheet,
            branches=branches,
            call=call,
            stand_in=bool(stand_in),
        )

    def classes(self) -> tuple[str, ...]:
        """Return the names of all classes in the record, the latest first."""
        with self._told_plainly():
            rows = self._connection.execute(
                "SELECT class FROM lesson GROUP BY class ORDER BY max(began_s) DESC"
            )
            return tuple(name for (name,) in rows)

    def lessons(self, class_name: str) -> tuple[LessonKept, ...]:
        """Return the lessons of a class with their rounds, the earliest first.

        What a failing disk has garbled is left out: a round that cannot be read tells nothing.
        """
        with self._told_plainly():
            rows = self._connection.execute(
                f"SELECT {LESSON} FROM lesson WHERE class = ? ORDER BY began_s, number", (class_name,)
            ).fetchall()
            return tuple(self._lesson(row) for row in rows if readable(row, LessonRow) and dated(row))

    def every_lesson(self) -> list[LessonKept]:
        """Return the lessons of all classes."""
        return [lesson for name in self.classes() for lesson in self.lessons(name)]

    def forget(self, class_name: str | None) -> int:
        """Take a class (None: all classes) out of the record for good; return how many lessons went."""
        where, values = ("", ()) if class_name is None else (" WHERE class = ?", (class_name,))
        with self._told_plainly():
            with self._transaction():
                gone = self._connection.execute(f"DELETE FROM lesson{where}", values).rowcount
            # What was deleted is overwritten too, not only let go.
            self._connection.execute("VACUUM")
            self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return gone

    def backup(self, path: Path, *, replace: bool = False) -> None:
        """Write a whole copy of the record to `path`; `replace` says whether a file that is there may go.

        Raises
        ------
        UserError
            If `path` is the record itself, or no place to write to.
        MachineError
            If there is no room for it.
        """
        companions = (self.path.with_name(self.path.name + ending) for ending in COMPANIONS)
        with replacing(path, replace=replace, private=True, sources=(self.path, *companions)) as unfinished:
            try:
                with closing(sqlite3.connect(unfinished)) as copy:
                    self._connection.backup(copy)
                    copy.execute("PRAGMA journal_mode = DELETE")  # one file, easy to carry
            except TROUBLE as error:
                raise MachineError(f"The copy {path} cannot be written: {error}.") from error

    @contextmanager
    def _told_plainly(self) -> Iterator[None]:
        try:
            yield
        except TROUBLE as error:
            raise record_fault(error, self.path) from error

    def _lesson(
        self, row: tuple[int, str, str, float, float | None, str, float | None, int, int]
    ) -> LessonKept:
        number, class_name, title, began_s, ended_s, ending, planned_s, stand_in, present = row
        rounds = self._connection.execute(
            f"SELECT {ROUND} FROM round WHERE lesson = ? ORDER BY at_s, number", (number,)
        )
        return LessonKept(
            number=number,
            class_name=class_name,
            title=title,
            began_s=began_s,
            ended_s=ended_s,
            ending=ending,
            planned_s=planned_s,
            stand_in=bool(stand_in),
            present=present if present > 0 else USUAL_PRESENT,
            rounds=tuple(kept for each in rounds if (kept := round_of(each)) is not None),
        )

    def _write(self, statement: str, values: tuple[object, ...]) -> None:
        with self._transaction():
            self._connection.execute(statement, values)

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        """Do all or nothing of what follows; within another such, it is a part of that."""
        if self._connection.in_transaction:
            yield
            return
        with self._connection:
            self._connection.execute("BEGIN IMMEDIATE")
            yield


def recall(class_name: str, path: Path | None = None, *, now_s: float | None = None) -> Knowledge:
    """Return what the record knows of a class; of one that it does not have, that nothing is known.

    Raises
    ------
    MachineError
        If there is a record that cannot be read.
    """
    path = record_path() if path is None else path
    now_s = time.time() if now_s is None else now_s
    if not is_file(path):
        return know((), now_s)
    with Store(path) as store:
        names = [name for name in store.classes() if name.casefold() == class_name.casefold()]
        lessons = store.lessons(names[0]) if names else ()
    return know(lessons, now_s)


def led_before(class_name: str, path: Path | None = None) -> bool:
    """Return whether a class has been led as far as a clock before; no, where the record cannot be read.

    A lesson for no class in particular has no record.
    """
    path = record_path() if path is None else path
    try:
        if not class_name or not is_file(path):
            return False
        with Store(path) as store:
            names = [name for name in store.classes() if name.casefold() == class_name.casefold()]
            return any(lesson.rounds for name in names for lesson in store.lessons(name))
    except CallerError:
        return False  # the lesson's own writing meets it, and says so

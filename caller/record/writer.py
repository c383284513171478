"""How lessons get into the record: kept while they run, or taken in from a copy of another record.

A lesson that runs is kept in a thread of its own, so that no slow or damaged disk holds it up. The writer
holds all that is to be kept of the lesson. Should the record turn out to be damaged, it is put aside and the
whole lesson is written into a new one; should it be locked or the disk be full, what could not be written is
tried again until the lesson's end, and meanwhile kept in a spare record.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from caller.errors import MachineError, UserError
from caller.file_reading import is_file, read_bytes
from caller.languages import MODEL, words
from caller.record import LessonKept, RoundKept
from caller.record.files import record_path, remove, set_aside, spare_paths
from caller.record.schema import TROUBLE, DamagedError, TooNewError, is_damage, record_fault
from caller.record.store import Store

_TRY_AGAIN_S: Final = 5.0
_LAST_WAIT_S: Final = 12.0

_NO_RECORD: Final = "{path} is damaged, or is no copy of a record: take one that `record backup` has made."
_LEAST_BYTES: Final = 100  # SQLite's own header
_MOST_BYTES: Final = 500_000_000  # far more than lessons ever fill
_JOURNAL_KIND: Final = slice(18, 20)  # the bytes that say how it is written (sqlite.org/fileformat.html)
_TROUBLE: Final = (MachineError, *TROUBLE, OSError)

_Key = tuple[str, int, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beginning:
    """What is kept when a lesson begins; `number` is the record's own where a lesson is carried on.

    `language` is what the teacher is told in, should the record be in trouble.
    """

    class_name: str
    title: str
    began_s: float
    planned_s: float | None
    stand_in: bool = False
    run_sheet: str
    branches: str
    number: int | None = None
    language: str = MODEL


@dataclass(slots=True)
class _Wanted:
    """What the record is to hold of the lesson, and which of it is not written yet."""

    run_sheet: str
    call: int = 0
    rounds: dict[_Key, RoundKept] = field(default_factory=dict)
    end: tuple[float, str] | None = None
    unwritten: set[_Key] = field(default_factory=set)
    untold: set[_Key] = field(default_factory=set)  # rounds whose tally was taken back


_CALL: Final[_Key] = ("call", 0, "")
_RUN_SHEET: Final[_Key] = ("run sheet", 0, "")
_END: Final[_Key] = ("end", 0, "")


class RecordWriter:
    """Writes one lesson into the record. Every method returns at once; none ever raises."""

    def __init__(self, beginning: Beginning, path: Path | None = None) -> None:
        self._beginning = beginning
        self._path = record_path() if path is None else path
        self._number = beginning.number
        self._wanted = _Wanted(beginning.run_sheet)
        self._store: Store | None = None
        self._spare: Path | None = None  # holds the lesson as far as it was when it was last written
        self._changed = threading.Condition()
        self._closing = False
        self._notices: list[str] = []
        self._told: set[str] = set()
        self._thread = threading.Thread(target=self._work, name="record", daemon=True)
        self._thread.start()

    def reached(self, call: int) -> None:
        """Keep that the call with this number began."""
        self._want(_CALL, lambda: setattr(self._wanted, "call", call))

    def changed(self, run_sheet: str) -> None:
        """Keep the run sheet (JSON) as it now stands."""
        self._want(_RUN_SHEET, lambda: setattr(self._wanted, "run_sheet", run_sheet))

    def keep(self, kept: RoundKept) -> None:
        """Keep a round, in the place of what was kept of it before."""
        key = ("round", kept.number, kept.part)

        def change() -> None:
            before = self._wanted.rounds.get(key)
            if before is not None and before.tally is not None and kept.tally is None:
                self._wanted.untold.add(key)
            self._wanted.rounds[key] = kept

        self._want(key, change)

    def end(self, ended_s: float, ending: str) -> None:
        """Keep that the lesson is over."""
        self._want(_END, lambda: setattr(self._wanted, "end", (ended_s, ending)))

    def _say(self, key: str, **slots: object) -> str:
        return words(self._beginning.language, "screen").say(f"machine.{key}", **slots)

    def notice(self) -> str:
        """Return what the teacher has to know, each thing once; an empty text otherwise."""
        with self._changed:
            return self._notices.pop(0) if self._notices else ""

    def close(self) -> bool:
        """Write what is left and stop; return whether everything is kept, in the record or a spare one."""
        with self._changed:
            self._closing = True
            self._changed.notify()
        self._thread.join(_LAST_WAIT_S)
        if self._thread.is_alive():
            return False
        return not self._wanted.unwritten or self._spare is not None

    def _want(self, key: _Key, change: Callable[[], None]) -> None:
        with self._changed:
            change()
            self._wanted.unwritten.add(key)
            self._changed.notify()

    def _work(self) -> None:
        written = True
        while True:
            with self._changed:
                while (
                    not self._closing and written and not self._wanted.unwritten and self._number is not None
                ):
                    self._changed.wait()
                if not written and not self._closing:
                    self._changed.wait(_TRY_AGAIN_S)
                closing = self._closing
            written = self._write_all()
            with self._changed:
                if closing and (not written or not self._wanted.unwritten):
                    break
        self._close()

    def _close(self) -> None:
        if self._store is not None:
            self._store.close()
            self._store = None

    def _write_all(self) -> bool:
        try:
            try:
                self._write()
            except _TROUBLE as error:
                if not is_damage(error):
                    raise
                self._close()  # a disk may give a wrong page once: only what is damaged twice is put aside
                self._write()
        except _TROUBLE as error:
            if not is_damage(error):
                self._tell(str(error) if isinstance(error, TooNewError) else self._say("record-not-written"))
                self._write_spare()
                return False
            return self._begin_anew()
        if self._spare is not None:
            remove(self._spare)
            self._spare = None
        return True

    def _write_spare(self) -> None:
        """Keep the whole lesson elsewhere, for the next program that opens the record."""
        with self._changed:
            rounds = tuple(self._wanted.rounds.values())
        for path in spare_paths(self._path, self._beginning.began_s):
            try:
                with Store(path) as store:
                    number = self._begin(store)
                    for kept in rounds:
                        store.keep(number, kept)
                    store.changed(number, self._wanted.run_sheet)
                    store.reached(number, self._wanted.call)
                    if self._wanted.end is not None:
                        store.end(number, *self._wanted.end)
            except _TROUBLE:
                remove(path)
            else:
                self._spare = path
                return
        self._spare = None

    def _begin_anew(self) -> bool:
        try:
            self._close()
            self._tell(self._say("record-put-aside", name=set_aside(self._path).name))
            with self._changed:
                self._number = None
                self._wanted.unwritten |= {*self._wanted.rounds, _CALL, _RUN_SHEET}
                if self._wanted.end is not None:
                    self._wanted.unwritten.add(_END)
            self._write()
        except _TROUBLE:
            self._tell(self._say("record-not-written"))
            return False
        return True

    def _write(self) -> None:
        if self._store is None:
            self._store = Store(self._path)
        if self._number is None:
            self._number = self._begin(self._store)
        while True:
            with self._changed:
                # The end comes last: it takes away what carrying on would need.
                key = min(self._wanted.unwritten, key=lambda each: (each == _END, each), default=None)
                if key is None:
                    return
                self._wanted.unwritten.discard(key)
            try:
                self._write_one(self._store, self._number, key)
            except BaseException:
                with self._changed:
                    self._wanted.unwritten.add(key)
                raise

    def _begin(self, store: Store) -> int:
        first = self._beginning
        return store.begin(
            class_name=first.class_name,
            title=first.title,
            began_s=first.began_s,
            planned_s=first.planned_s,
            stand_in=first.stand_in,
            run_sheet=self._wanted.run_sheet,
            branches=first.branches,
        )

    def _write_one(self, store: Store, number: int, key: _Key) -> None:
        if key == _CALL:
            store.reached(number, self._wanted.call)
        elif key == _RUN_SHEET:
            store.changed(number, self._wanted.run_sheet)
        elif key == _END:
            if self._wanted.end is not None:
                store.end(number, *self._wanted.end)
                # Damage done meanwhile may not have shown yet: opening it anew looks at the whole file.
                store.close()
                self._store = None
                self._store = Store(self._path)
        else:
            kept = self._wanted.rounds[key]
            if key in self._wanted.untold:
                store.untell(number, kept.number, kept.part)
            store.keep(number, kept)

    def _tell(self, text: str) -> None:
        with self._changed:
            if text not in self._told:
                self._told.add(text)
                self._notices.append(text)


class _Copy(Store):
    """What `Store.backup` has written, opened in memory: it stays as it is."""

    def __init__(self, path: Path) -> None:
        self.path = path
        content = read_bytes(path, most_bytes=_MOST_BYTES)
        if not _LEAST_BYTES <= len(content) <= _MOST_BYTES:
            raise DamagedError(f"{path} is no record.")
        # Memory has no file beside it to write ahead to (sqlite.org/c3ref/deserialize.html).
        content = content[: _JOURNAL_KIND.start] + b"\1\1" + content[_JOURNAL_KIND.stop :]
        self._connection = sqlite3.connect(":memory:", isolation_level=None)
        try:
            self._connection.deserialize(content)
            if self._connection.execute("PRAGMA user_version").fetchone() == (0,):
                raise DamagedError(f"{path} is no record.")  # SQLite takes an empty file for its own
            self._prepare()
        except TROUBLE as error:
            self.close()
            raise record_fault(error, path) from error
        except MachineError:
            self.close()
            raise


def take_in_copy(path: Path, record: Store) -> tuple[int, int]:
    """Write the lessons of the copy at `path` into `record`; return how many are new, and how many not.

    A lesson that the record has is left as it is there. The copy is not changed, and may lie on a stick that
    cannot be written. All are taken in, or none.

    Raises
    ------
    UserError
        If there is no copy at `path`, or a damaged one.
    MachineError
        If a newer program made it, it cannot be read, or the record cannot be written.
    """
    if not is_file(path):
        raise UserError(f"There is no copy {path}. Check its name and its folder.")
    try:
        with _Copy(path) as kept:
            lessons = kept.every_lesson()
    except DamagedError as error:
        raise UserError(_NO_RECORD.format(path=path)) from error
    there = {_moment(lesson) for lesson in record.every_lesson()}
    new = [lesson for lesson in lessons if _moment(lesson) not in there]
    record.add(new)
    return len(new), len(lessons) - len(new)


def _moment(lesson: LessonKept) -> tuple[str, float]:
    return lesson.class_name.casefold(), lesson.began_s

"""A copy of the record, taken in again: on a new computer, or beside what this one has kept itself."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from caller.errors import UserError
from caller.file_reading import is_file
from caller.record import LessonKept
from caller.record.files import FILE_NAME
from caller.record.schema import TROUBLE, DamagedError
from caller.record.store import Store

_NO_RECORD: Final = "{path} is damaged, or is no copy of a record: take one that `record backup` has made."


def take_in_copy(path: Path, record: Store) -> tuple[int, int]:
    """Write the lessons of the copy at `path` into `record`; return how many are new, and how many not.

    A lesson that the record has is left as it is there. The copy is not changed.

    Raises
    ------
    UserError
        If there is no copy at `path`, or a damaged one.
    MachineError
        If a newer program made it, or the record cannot be written.
    """
    if not is_file(path):
        raise UserError(f"There is no copy {path}. Check its name and its folder.")
    # Opened as a record it would be written to, and it may lie on a stick that cannot be: read a copy of it.
    with TemporaryDirectory(prefix="caller-record-") as folder:
        opened = Path(folder) / FILE_NAME
        try:
            where = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
            with (
                closing(sqlite3.connect(where, uri=True)) as source,
                closing(sqlite3.connect(opened)) as copy,
            ):
                if source.execute("PRAGMA user_version").fetchone() == (0,):
                    raise DamagedError(_NO_RECORD.format(path=path))  # SQLite takes an empty file for its own
                source.backup(copy)
            with Store(opened) as kept:
                lessons = kept.every_lesson()
        except (DamagedError, *TROUBLE) as error:
            raise UserError(_NO_RECORD.format(path=path)) from error
    there = {_moment(lesson) for lesson in record.every_lesson()}
    new = [lesson for lesson in lessons if _moment(lesson) not in there]
    for lesson in new:
        record.add(lesson)
    return len(new), len(lessons) - len(new)


def _moment(lesson: LessonKept) -> tuple[str, float]:
    return lesson.class_name.casefold(), lesson.began_s

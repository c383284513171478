"""The record's files: where it lives, spare ones beside it, a damaged one set aside, and a lesson's lock.

A spare record keeps a lesson while the record itself cannot be written. It lies beside the record, or in the
cache where there is no room; the next program that opens the record takes it in. Its name tells whose it is,
so that no record takes in another's.
"""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from caller.errors import UserError
from caller.paths import lock, private_folder, user_cache, user_data

FILE_NAME: Final = "record.sqlite3"
_LOCK_NAME: Final = "lesson-running.lock"
COMPANIONS: Final = ("-wal", "-shm")
"""What SQLite puts behind a file's name for the files that it keeps beside it."""

_ENDING: Final = ".spare.sqlite3"


def record_path() -> Path:
    """Return where the record lives."""
    return user_data() / FILE_NAME


def spare_paths(record: Path, began_s: float) -> Iterator[Path]:
    """Yield where the lesson that began at `began_s` (seconds since 1970) may be kept, best place first."""
    for folder in _folders(record):
        yield folder / f"{_whose(record)}-{round(began_s * 1000)}{_ENDING}"


def spares_of(record: Path) -> list[Path]:
    """Return the spare records that are there to be taken in."""
    return [
        path for folder in _folders(record) for path in sorted(folder.glob(f"{_whose(record)}-*{_ENDING}"))
    ]


def remove(path: Path) -> None:
    """Delete a record's files, as far as they are there."""
    for each in (path, *(path.with_name(path.name + ending) for ending in COMPANIONS)):
        with contextlib.suppress(OSError):
            each.unlink()


def _folders(record: Path) -> tuple[Path, Path]:
    return record.parent, user_cache()


def _whose(record: Path) -> str:
    return f"record-{sha256(bytes(record.absolute())).hexdigest()[:8]}"


def set_aside(path: Path) -> Path:
    """Move a damaged record and its companions out of the way, and return where it went; nothing is lost."""
    stamp = time.strftime("%Y-%m-%d-%H%M%S")
    target = path.with_name(f"{path.stem}-{stamp}.damaged")
    count = 1
    while target.exists():
        count += 1
        target = path.with_name(f"{path.stem}-{stamp}-{count}.damaged")
    path.rename(target)
    for ending in COMPANIONS:
        companion = path.with_name(path.name + ending)
        if companion.exists():
            companion.rename(target.with_name(target.name + ending))
    return target


RUNNING: Final = "A lesson is running on this computer: end that one first."


class LessonRunningError(UserError):
    """Another lesson is running on this computer."""


class Alone:
    """Holds a place that one at a time may hold, by a lock on the file `path`.

    Where the folder cannot be written or has no locks, nothing is held, and all may go on: no lock is worth
    a lesson.

    Raises
    ------
    BlockingIOError
        If another holds it.
    """

    def __init__(self, path: Path) -> None:
        self._file: int | None = None
        try:
            private_folder(path.parent)
            self._file = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
        except OSError:
            return
        try:
            lock(self._file)
        except BlockingIOError:
            self.let_go()
            raise

    def let_go(self) -> None:
        """Let another hold it."""
        if self._file is not None:
            with contextlib.suppress(OSError):
                os.close(self._file)
            self._file = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.let_go()


class OneLesson(Alone):
    """Holds the place of the one lesson that may run.

    Raises
    ------
    LessonRunningError
        If another process holds it.
    """

    def __init__(self, path: Path | None = None) -> None:
        try:
            super().__init__(record_path().with_name(_LOCK_NAME) if path is None else path)
        except BlockingIOError:
            raise LessonRunningError(RUNNING) from None

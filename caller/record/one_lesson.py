"""One lesson at a time: a lock beside the record, held while a lesson runs, and let go with its process."""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from caller.errors import UserError
from caller.paths import private_folder
from caller.record.store import record_path

FILE_NAME: Final = "lesson-running.lock"
RUNNING: Final = "A lesson is running on this computer: end that one first."


class LessonRunningError(UserError):
    """Another lesson is running on this computer."""


class OneLesson:
    """Holds the place of the one lesson that may run.

    Where the folder cannot be written, nothing is held and every lesson may run: no lock is worth a lesson.

    Raises
    ------
    LessonRunningError
        If another process holds it.
    """

    def __init__(self, path: Path | None = None) -> None:
        path = record_path().with_name(FILE_NAME) if path is None else path
        self._file: int | None = None
        try:
            private_folder(path.parent)
            self._file = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
        except OSError:
            return
        try:
            _lock(self._file)
        except OSError:
            os.close(self._file)
            self._file = None
            raise LessonRunningError(RUNNING) from None

    def let_go(self) -> None:
        """Let another lesson run."""
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


if sys.platform == "win32":
    import msvcrt

    def _lock(file: int) -> None:
        msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(file: int) -> None:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)

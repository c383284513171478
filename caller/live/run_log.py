"""A log of a run, a line of JSON for each event: for finding faults, and for measuring."""

from __future__ import annotations

import contextlib
import json
import logging
import os
import time
from pathlib import Path
from types import TracebackType
from typing import Self, TextIO

from caller.errors import NotFoundError

_log = logging.getLogger(__name__)


class RunLog:
    """Writes events with their time in seconds, by the wall clock (`at`) and the steady one (`steady`).

    A disk that is full costs the rest of the log, never the lesson.

    Raises
    ------
    NotFoundError
        The file cannot be begun.
    """

    def __init__(self, path: Path | None) -> None:
        self._file: TextIO | None = None
        if path is not None:
            try:
                # For the owner's eyes: it tells which class was where, and when.
                opened = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
                self._file = os.fdopen(opened, "w", encoding="utf-8", buffering=1)
            except (OSError, ValueError) as error:
                why = error.strerror if isinstance(error, OSError) else error
                raise NotFoundError(
                    f"The log {path} cannot be written ({why}): choose another name or folder for it."
                ) from error

    def event(self, name: str, **facts: str | float | None) -> None:
        """Write one event."""
        file = self._file
        if file is None:
            return
        line = {"at": time.time(), "steady": time.monotonic(), "event": name, **facts}
        try:
            file.write(json.dumps(line) + "\n")
        except OSError as error:
            self._file = None
            with contextlib.suppress(OSError):
                file.close()
            _log.warning("The log ends here (%s); the lesson goes on.", error.strerror)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._file is not None:
            with contextlib.suppress(OSError):
                self._file.close()

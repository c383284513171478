"""A log of a run, a line of JSON for each event: for finding faults, and for measuring."""

from __future__ import annotations

import json
import time
from pathlib import Path
from types import TracebackType
from typing import Self, TextIO


class RunLog:
    """Writes events with their time in seconds, by the wall clock (`at`) and the steady one (`steady`)."""

    def __init__(self, path: Path | None) -> None:
        self._file: TextIO | None = None if path is None else path.open("w", encoding="utf-8", buffering=1)

    def event(self, name: str, **facts: str | float | None) -> None:
        """Write one event."""
        if self._file is not None:
            line = {"at": time.time(), "steady": time.monotonic(), "event": name, **facts}
            self._file.write(json.dumps(line) + "\n")

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._file is not None:
            self._file.close()

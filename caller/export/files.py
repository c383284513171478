"""Files appear under their names only when they are whole."""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from caller.errors import MachineError, NotFoundError


@contextmanager
def replacing(target: Path) -> Iterator[Path]:
    """Yield a name beside `target` to write to; it becomes `target` at the end, or goes away on any error.

    A process that is killed leaves at most that file, and the next one for the same target writes over it.

    Raises
    ------
    NotFoundError
        If the folder does not exist.
    MachineError
        If the file cannot be written.
    """
    if not target.parent.is_dir():
        raise NotFoundError(f'There is no folder "{target.parent}" to write {target.name} to. Make it first.')
    unfinished = target.with_name(f".{target.stem}.unfinished{target.suffix}")
    try:
        yield unfinished
        unfinished.replace(target)
    except OSError as error:
        raise MachineError(
            f'"{target}" could not be written: {os.strerror(error.errno) if error.errno else error}.'
        ) from error
    finally:
        with contextlib.suppress(OSError):
            unfinished.unlink(missing_ok=True)


class Finished:
    """What an export into a folder has finished, noted in the folder itself.

    The note (`.finished.json`) holds each file's size and what it was made from.
    """

    def __init__(self, folder: Path) -> None:
        if not folder.is_dir():
            raise NotFoundError(f'There is no folder "{folder}". Make it first.')
        self._note = folder / ".finished.json"
        self._files: dict[str, list[str | int]] = {}
        with contextlib.suppress(OSError, ValueError, RecursionError):
            noted = json.loads(self._note.read_text("utf-8"))
            self._files = noted if isinstance(noted, dict) else {}

    def holds(self, target: Path, fingerprint: str) -> bool:
        """Tell whether `target` is there, whole, and made from this."""
        return target.is_file() and self._files.get(target.name) == [fingerprint, target.stat().st_size]

    def add(self, target: Path, fingerprint: str) -> None:
        """Note that `target` is finished."""
        self._files[target.name] = [fingerprint, target.stat().st_size]
        with replacing(self._note) as unfinished:
            unfinished.write_text(json.dumps(self._files, indent=1), "utf-8")

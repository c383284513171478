"""Where a lesson is kept while the record itself cannot be written: a small record of its own.

It lies beside the record, or in the cache where there is no room; the next program that opens the record
takes it in. Its name tells whose it is, so that no record takes in another's.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Final

from caller.paths import user_cache

COMPANIONS: Final = ("-wal", "-shm")
"""What SQLite puts behind a file's name for the files that it keeps beside it."""

_ENDING: Final = ".spare.sqlite3"


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

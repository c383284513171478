"""What a process holds: memory, threads and open files (Linux, from /proc)."""

from __future__ import annotations

import os
import threading
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Usage:
    """A moment's holdings."""

    resident_mb: float
    threads: int
    files: int


def usage() -> Usage:
    """Return what this process holds now."""
    resident_pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return Usage(
        resident_pages * os.sysconf("SC_PAGE_SIZE") / 1e6,
        threading.active_count(),
        len(list(Path("/proc/self/fd").iterdir())) - 1,  # the listing itself holds one
    )

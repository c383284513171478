"""What a process holds: memory, threads and open files (Linux, from /proc); and a user's surroundings."""

from __future__ import annotations

import os
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Usage:
    """A moment's holdings."""

    resident_mb: float
    threads: int
    files: int


def as_installed(home: Path | None = None) -> Mapping[str, str]:
    """Return the surroundings of an installed program, whose code is compiled once; with `home` a new user's.

    A developer's shell may forbid Python to keep what it compiled: then every start compiles all of it anew.
    """
    own = {} if home is None else {"XDG_CACHE_HOME": str(home / "cache"), "XDG_DATA_HOME": str(home / "data")}
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"} | own


def resident_mb(process: int) -> float:
    """Return the memory that a process holds, what it shares with others included, in MB."""
    told = Path(f"/proc/{process}/status").read_text(encoding="ascii")
    return next(int(line.split()[1]) for line in told.splitlines() if line.startswith("VmRSS")) * 1.024e-3


def usage() -> Usage:
    """Return what this process holds now."""
    resident_pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return Usage(
        resident_pages * os.sysconf("SC_PAGE_SIZE") / 1e6,
        threading.active_count(),
        len(list(Path("/proc/self/fd").iterdir())) - 1,  # the listing itself holds one
    )

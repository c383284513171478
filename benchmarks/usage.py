"""What a process holds: memory, threads and open files (Linux, from /proc); and a user's surroundings.

Also an engine's voice by itself.
"""

from __future__ import annotations

import os
import tempfile
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from caller.sound.kept_voice import ClipCache
from caller.sound.voice import VoiceBox

ENGINE_DEADLINE_S: Final = 120.0
"""So long an engine may take for anything: a benchmark waits for a slow one too."""


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


@contextmanager
def voice_by(engine: str) -> Iterator[VoiceBox]:
    """Lend the voice of one engine, with an empty cache that goes again.

    A note in each cache says by language who speaks: a shared one would lend one engine's clips to another.
    """
    with (
        tempfile.TemporaryDirectory() as folder,
        VoiceBox(
            ClipCache(Path(folder)),
            engines=(engine,),
            first_deadline_s=ENGINE_DEADLINE_S,
            deadline_s=ENGINE_DEADLINE_S,
        ) as voice,
    ):
        yield voice


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

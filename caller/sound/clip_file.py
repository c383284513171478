"""One spoken clip as bytes: a line of JSON that says what follows, then 16-bit samples.

The checksum covers everything that matters, so a torn, truncated or altered file is told from a good one.
"""

from __future__ import annotations

import hashlib
import json
import math
from typing import Any, Final

import numpy as np

from caller.sound.levels import SAMPLE_RATE
from caller.sound.speech import Speech, Word, frozen

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

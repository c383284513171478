"""Good files to begin from: what a fuzzer changes should start near what a teacher writes."""

from __future__ import annotations

import io
import json
import wave
from pathlib import Path

import numpy as np

from caller.hall.hallfile import PRESETS
from caller.lesson.library import ready_lessons
from caller.lesson.model import Lesson, Round
from caller.lesson.writing import lesson_to_text
from caller.paths import packaged
from caller.sound.clip_file import to_bytes
from caller.sound.engine_note import fingerprint
from caller.sound.speech import Speech, Word

_CLASS = b"""name = "Terns"
age = "6-7"
step = "minutes"
minutes = 25
hall = "gym"
avoid = ["star-jumps"]
seated_places = 1
"""
_LESSON = b"""title = "Two clocks"
class = "Terns"
think_seconds = 8
catch_up = { kind = "none" }
[voice]
rate_wpm = 130
[[round]]
time = "9:30"
wrong = ["10:30"]
moves = ["star-jumps", "squats"]
[[round]]
kind = "day-part"
time = "16:40"
"""


def seeds(reader: str) -> list[bytes]:
    """Return good content for a reader."""
    match reader:
        case "lesson":
            ready = list(ready_lessons().values())[:6]
            return [_LESSON, _every_key(), *(path.read_bytes() for path in ready)]
        case "hall":
            return [entry.read_bytes() for entry in PRESETS.iterdir() if entry.name.endswith(".toml")]
        case "class":
            return [_CLASS]
        case "manifest":
            return [(packaged("sounds") / "manifest.toml").read_bytes()]
        case "tone":
            return [_wav(8_000, 2), _wav(48_000, 1), *(path.read_bytes() for path in _short_tones())]
        case "clip":
            samples = np.linspace(-0.5, 0.5, 64, dtype=np.float32)
            return [to_bytes(Speech(samples=samples, onset=3, words=(Word(0.0, 0, 4),), voice="Someone"))]
        case "note":
            return [json.dumps({"engine": "bundled", "installed": fingerprint()}).encode()]
    raise AssertionError(reader)


def _every_key() -> bytes:
    return lesson_to_text(Lesson(title="All", rounds=(Round(), Round(kind="find")))).encode()


def _wav(rate: int, channels: int) -> bytes:
    content = io.BytesIO()
    with wave.open(content, "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(np.arange(400, dtype="<i2").tobytes())
    return content.getvalue()


def _short_tones() -> list[Path]:
    return sorted(packaged("sounds").glob("*.wav"), key=lambda path: path.stat().st_size)[:1]

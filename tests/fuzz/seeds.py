"""Good files to begin from: what a fuzzer changes should start near what a teacher writes."""

from __future__ import annotations

import io
import json
import tempfile
import wave
from dataclasses import replace
from pathlib import Path

import numpy as np

from caller.clock import ClockTime
from caller.export.units import UnitStore
from caller.hall.hallfile import PRESETS
from caller.lesson import Lesson, Round
from caller.lesson.library import lesson_from_text, ready_lessons
from caller.lesson.writing import lesson_to_text
from caller.paths import packaged
from caller.record import Offered, RoundKept, Tally
from caller.record.store import Store
from caller.runsheet.forms import as_json
from caller.runsheet.sequence import make_run_sheet
from caller.sound.kept_voice import fingerprint, to_bytes
from caller.sound.speech import Speech, Word
from tests.fuzz.readers import FINGERPRINT

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
        case "record":
            return [_record()]
        case "units":
            return [_units()]
        case "controls":
            return [b'pause = ["p", "joy 1"]\nsingle_switch = "space"\nhold_seconds = 1.5\n']
        case "keys":
            return [bytes(range(0, 256, 3)), bytes([200, *[5, 40] * 40])]
    raise AssertionError(reader)


def _record() -> bytes:
    """A record of two lessons; the second was cut off."""
    lesson = lesson_to_text(Lesson(title="One", rounds=(Round(),)))
    whole = make_run_sheet(lesson_from_text(lesson))
    sheet = as_json(replace(whole, calls=whole.calls[:1]))
    offered = (Offered(time=ClockTime(3, 30), mixups=frozenset({"hands-swapped"})),)
    kept = RoundKept(
        number=1, part="round", at_s=1.7e9, question="read", step="quarters", time=ClockTime(4, 30),
        wrong=offered, answer="left", tally=Tally(judgement="few"),
    )  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "record.sqlite3"
        with Store(path) as store:
            for began_s in (1.7e9, 1.71e9):
                number = store.begin(
                    class_name="Terns", title="One", began_s=began_s, planned_s=600.0, stand_in=False,
                    run_sheet=sheet, branches=sheet,
                )  # fmt: skip
                store.keep(number, kept)
                store.keep(number, replace(kept, number=2, tally=Tally(missed=7)))
                if began_s == 1.7e9:
                    store.end(number, 1.7e9 + 600, "ended")
            store.backup(path.with_name("copy"))
        return path.with_name("copy").read_bytes()


def _units() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{FINGERPRINT}.units"
        with UnitStore(FINGERPRINT, path.parent) as store:
            store.put(0, [b"one", b"two"])
            store.put(30, [b"three"])
        return path.read_bytes()


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

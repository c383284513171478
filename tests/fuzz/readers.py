"""Every door that bytes from a stranger come through; out comes a value, or one clear sentence."""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Final

from caller.errors import CallerError
from caller.export.units import UnitStore
from caller.hall.hallfile import read_hall
from caller.lesson.library import read_lesson
from caller.live.keeping import cut_off
from caller.live.keys import controls_of
from caller.planning.classfile import read_class
from caller.record.files import COMPANIONS
from caller.record.knowledge import know
from caller.record.store import Store
from caller.record.telling import as_csv, sentences
from caller.runsheet.sequence import make_run_sheet
from caller.sound import kept_voice
from caller.sound.audiofile import read_mono
from caller.sound.kept_voice import DamagedClipError, from_bytes
from caller.sound.tones import LONGEST_S, read_manifest
from tests.fuzz.presses import press_buttons

LONGEST_SENTENCE: Final = 600
MOST_SENTENCES: Final = 21
FINGERPRINT: Final = "the same film"


@cache
def _folder() -> Path:
    """Return a folder of this process's own, in memory where the system has such a place."""
    memory = Path("/dev/shm")
    return Path(tempfile.mkdtemp(prefix="readers-", dir=memory if memory.is_dir() else None))


def _file(name: str, content: bytes) -> Path:
    path = _folder() / name
    path.write_bytes(content)
    return path


def lesson(content: bytes) -> None:
    """Read a lesson; one that can be used is taken as far as its run sheet."""
    make_run_sheet(read_lesson(_file("lesson.toml", content)))


def hall(content: bytes) -> None:
    """Read a hall file."""
    read_hall(_file("hall.toml", content))


def school_class(content: bytes) -> None:
    """Read a class file."""
    read_class(_file("class.toml", content))


def manifest(content: bytes) -> None:
    """Read a list of tones."""
    read_manifest(_file("manifest.toml", content))


def tone(content: bytes) -> None:
    """Read a teacher's own tone."""
    try:
        read_mono(_file("tone.wav", content), longest_s=LONGEST_S)
    except ValueError as error:
        _check_sentence(str(error))


def clip(content: bytes) -> None:
    """Read a spoken clip from the cache; damage is told as damage."""
    with contextlib.suppress(DamagedClipError):
        from_bytes(content)


def note(content: bytes) -> None:
    """Read the note of which engine spoke last."""
    _file("engine-en-gb.json", content)
    kept_voice.recall(_folder(), "en-GB")


def record(content: bytes) -> None:
    """Read a class record, and tell all that is ever told from one."""
    path = _file("record.sqlite3", content)
    for companion in COMPANIONS:
        path.with_name(path.name + companion).unlink(missing_ok=True)
    with Store(path) as store:
        for name in store.classes():
            lessons = store.lessons(name)
            knowledge = know(lessons, now_s=1.8e9)
            as_csv(lessons)
            for sentence in sentences(name, lessons, knowledge):
                assert sentence.strip()
    cut_off(path, now_s=0.0)


def units(content: bytes) -> None:
    """Find what an export that was cut off has left; what is damaged is made again."""
    path = _file(f"{FINGERPRINT}.units", content)
    path.with_name(path.name + "-journal").unlink(missing_ok=True)
    with UnitStore(FINGERPRINT, path.parent) as store:
        for start in (0, 30):
            store.get(start)
        store.put(60, [b"packet"])


def controls(content: bytes) -> None:
    """Read a teacher's own meanings of buttons."""
    controls_of(_file("keys.toml", content))


def keys(content: bytes) -> None:
    """Press and let go of buttons at any moments while a short lesson is led to its end or cut off."""
    press_buttons(content)


READERS: Final[dict[str, Callable[[bytes], None]]] = {
    "lesson": lesson,
    "hall": hall,
    "class": school_class,
    "manifest": manifest,
    "tone": tone,
    "clip": clip,
    "note": note,
    "record": record,
    "units": units,
    "controls": controls,
    "keys": keys,
}


def try_reader(name: str, content: bytes) -> CallerError | None:
    """Let a reader have `content`; return its refusal, if it refused, after checking how it is worded.

    Any other exception passes through: it is a find.
    """
    try:
        READERS[name](content)
    except CallerError as error:
        sentences = str(error).splitlines()
        assert 1 <= len(sentences) <= MOST_SENTENCES, f"{len(sentences)} sentences"
        for sentence in sentences:
            _check_sentence(sentence)
        return error
    return None


def _check_sentence(sentence: str) -> None:
    assert sentence.strip(), "an empty sentence"
    assert len(sentence) <= LONGEST_SENTENCE, f"{len(sentence)} letters"
    assert "Traceback" not in sentence
    assert all(letter.isprintable() for letter in sentence), f"unprintable: {sentence!r}"

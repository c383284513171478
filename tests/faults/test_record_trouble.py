"""The class record is damaged, locked by another program, or has no room: the lesson is led all the same."""

from __future__ import annotations

import os
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from caller.record.store import Store
from tests.faults.conftest import Lesson, StartLesson

ALL = 99  # more calls than the short lesson has


@pytest.fixture
def record(tmp_path: Path, quiet_environment: dict[str, str]) -> Path:
    """Where the program keeps its record in this test."""
    path = Path(quiet_environment["XDG_DATA_HOME"]) / "hall-caller" / "record.sqlite3"
    path.parent.mkdir(parents=True, mode=0o700)
    return path


@pytest.fixture
def crowded(tmp_path: Path) -> Iterator[Path]:
    """A file system with room for hardly anything."""
    folder = tmp_path / "crowded"
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=32k", "none", str(folder)]
    if subprocess.run(command, capture_output=True, check=False).returncode != 0:
        pytest.skip("needs root, to mount a small file system")
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)


def rounds_kept(record: Path) -> list[int]:
    """Return the rounds of the short lesson that the record holds once somebody opens it."""
    with Store(record) as store:
        return [kept.number for lesson in store.lessons("Terns") for kept in lesson.rounds]


def longest_stop_s(lesson: Lesson) -> float:
    """Return for how long the lesson stood still between two calls, at most."""
    calls = [event for event in lesson.events() if event["event"] == "call"]
    return max(
        float((after["steady"] - before["steady"]) - (after["stream_s"] - before["stream_s"]))
        for before, after in pairwise(calls)
    )


def test_a_damaged_record(start_lesson: StartLesson, outcome: Callable[..., None], record: Path) -> None:
    damaged = os.urandom(20_000)
    record.write_bytes(damaged)
    lesson = start_lesson("--mute")
    lesson.wait_for("call", number=2)
    lesson.goes_on(1)
    kept = [path for path in record.parent.iterdir() if path.is_file() and path.read_bytes() == damaged]
    assert len(kept) == 1, "what was there is still there"
    outcome(
        "the class record is damaged",
        "its file is overwritten before the lesson",
        "a notice; the damaged file is set aside and a new one begun",
        max(longest_stop_s(lesson), 0.0),
        "nothing of this lesson; the damaged file is kept",
    )


@pytest.mark.endtoend
def test_a_record_that_another_program_keeps_locked(
    start_lesson: StartLesson, outcome: Callable[..., None], record: Path
) -> None:
    Store(record).close()
    other = sqlite3.connect(record, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    try:
        lesson = start_lesson("--mute")
        lesson.wait_for("call", number=2)
        lesson.goes_on(ALL, within_s=150)
    finally:
        other.close()
    assert rounds_kept(record) == [1]
    outcome(
        "the class record is locked",
        "another program keeps it locked for the whole lesson",
        "a notice; the lesson does not wait for it",
        max(longest_stop_s(lesson), 0.0),
        "nothing: the next start puts the lesson into the record",
    )


@pytest.mark.endtoend
def test_a_full_disk_under_the_record(
    start_lesson: StartLesson,
    outcome: Callable[..., None],
    crowded: Path,
    quiet_environment: dict[str, str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    record = crowded / "hall-caller" / "record.sqlite3"
    record.parent.mkdir()
    lesson = start_lesson("--mute", environment={"XDG_DATA_HOME": str(crowded)})
    lesson.wait_for("call", number=2)
    lesson.goes_on(ALL, within_s=150)
    subprocess.run(["mount", "-o", "remount,size=4m", str(crowded)], check=True)
    monkeypatch.setenv("XDG_CACHE_HOME", quiet_environment["XDG_CACHE_HOME"])
    assert rounds_kept(record) == [1]
    outcome(
        "the record's disk is full",
        "the record lies on a file system of 32 kB",
        "a notice",
        max(longest_stop_s(lesson), 0.0),
        "nothing: it waits in the cache folder until there is room",
    )

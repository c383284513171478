"""The disk is full, read-only or damaged; what lies on it was tampered with."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from caller.live.background import RunLog
from tests.faults.conftest import StartLesson

pytestmark = pytest.mark.endtoend  # each leads a lesson at its own speed

ROOT = Path(__file__).parents[2]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 64 kB."""
    folder = tmp_path / "small"
    folder.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "none", str(folder)], capture_output=True, check=False
    )
    if mounted.returncode != 0:
        pytest.skip("needs root, to mount a small file system")
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)


@pytest.fixture
def own_copy(tmp_path: Path) -> Path:
    """A copy of the program that may be damaged."""
    for part in ("caller", "sounds", "lessons"):
        shutil.copytree(ROOT / part, tmp_path / "copy" / part, ignore=shutil.ignore_patterns("__pycache__"))
    return tmp_path / "copy"


def test_a_full_disk_under_the_cache(
    start_lesson: StartLesson, outcome: Callable[..., None], small_disk: Path
) -> None:
    lesson = start_lesson("--mute", environment={"XDG_CACHE_HOME": str(small_disk)})
    lesson.wait_for("call", number=2)
    lesson.goes_on()
    assert "Spoken sentences cannot be kept in" in lesson.said()
    outcome(
        "the cache's disk is full",
        "the cache lies on a file system of 64 kB",
        "nothing",
        None,
        "nothing now; the next start is slower",
    )


def test_a_file_where_the_caches_folder_should_be(
    start_lesson: StartLesson, outcome: Callable[..., None], tmp_path: Path
) -> None:
    (tmp_path / "cache").write_text("in the way")
    lesson = start_lesson("--mute", environment={"XDG_CACHE_HOME": str(tmp_path / "cache")})
    lesson.wait_for("call", number=2)
    lesson.goes_on()
    assert "Spoken sentences cannot be kept in" in lesson.said()
    outcome(
        "the cache cannot be written",
        "a file lies where its folder should be",
        "nothing",
        None,
        "nothing now; the next start is slower",
    )


def test_a_cache_full_of_rubbish(
    start_lesson: StartLesson, outcome: Callable[..., None], tmp_path: Path
) -> None:
    environment = {"XDG_CACHE_HOME": str(tmp_path / "cache")}
    first = start_lesson("--mute", environment=environment)
    first.wait_for("call", number=3)
    first.process.kill()
    first.process.wait()
    kept = sorted((tmp_path / "cache").rglob("*.clip"))
    assert kept
    for number, path in enumerate(kept):
        content = path.read_bytes()
        path.write_bytes(
            (b"", content[:-10], os.urandom(500), content[:50] + b"x" + content[51:])[number % 4]
        )
    again = start_lesson("--mute", environment=environment, log=tmp_path / "again")
    again.wait_for("call", number=1)
    again.goes_on()
    assert "Not spoken" not in again.said()
    outcome(
        "the cache is damaged",
        "every clip in it is emptied, cut, overwritten or altered",
        "the lesson starts as it did the first time, a moment later",
        None,
        "nothing",
    )


def test_a_full_disk_under_the_log(
    start_lesson: StartLesson, outcome: Callable[..., None], small_disk: Path
) -> None:
    (small_disk / "other").write_bytes(b"0" * 61_000)
    log = small_disk / "log"
    lesson = start_lesson("--mute", log=log)
    lesson.wait_for("call", number=1)
    (small_disk / "more").write_bytes(b"0" * (os.statvfs(small_disk).f_bavail * 4096))
    assert lesson.end(within_s=120) == 0, lesson.said()
    outcome(
        "the log's disk is full",
        "the log lies on a file system that fills up",
        "nothing",
        None,
        "the rest of the log",
    )


def test_a_log_on_a_disk_that_fills_up_says_so_once_and_goes_on(
    caplog: pytest.LogCaptureFixture, tmp_path: Path
) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("needs /dev/full")
    with RunLog(tmp_path / "log") as log:
        assert log._file is not None
        with open("/dev/full", "w", buffering=1) as full:  # noqa: PTH123
            os.dup2(full.fileno(), log._file.fileno())
        log.event("one")
        log.event("two")
    assert [record.getMessage() for record in caplog.records] == [
        "The log ends here (No space left on device); the lesson goes on."
    ]


def test_a_missing_typeface(start_lesson: StartLesson, outcome: Callable[..., None], own_copy: Path) -> None:
    fonts = own_copy / "caller" / "screen" / "fonts"
    (fonts / "Lexend-Bold.ttf").unlink()
    (fonts / "Lexend-Regular.ttf").write_bytes(b"not a font")
    lesson = start_lesson("--mute", folder=own_copy)
    lesson.wait_for("call", number=2)
    lesson.goes_on()
    outcome(
        "a typeface is missing or damaged",
        "one font file is removed, the other overwritten",
        "another typeface",
        None,
        "nothing",
    )


def test_tampered_tones(start_lesson: StartLesson, outcome: Callable[..., None], own_copy: Path) -> None:
    sounds = own_copy / "sounds"
    (sounds / "beep.wav").write_bytes(b"RIFF rubbish")
    (sounds / "tick.wav").unlink()
    with (sounds / "attention.wav").open("r+b") as file:
        file.truncate(3_000_000_000)
    (sounds / "time-up.wav").unlink()
    os.mkfifo(sounds / "time-up.wav")
    lesson = start_lesson("--mute", folder=own_copy)
    lesson.wait_for("call", number=2)
    lesson.goes_on()
    told = lesson.said()
    for name in ("beep.wav", "tick.wav", "time-up.wav"):
        assert name in told
    outcome(
        "sounds/ was tampered with",
        "a tone that is no sound, one missing, one of 3 GB, one that is a pipe",
        "the built-in tones",
        None,
        "the teacher's own tones",
    )

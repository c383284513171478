"""The one door for writing: every file that the program writes to a disk goes through here.

A file appears under its name only when it is whole and on the disk. Until then it lies in a folder beside
its place that only this user can enter, under a name that nobody can guess, so that no planted link is
followed. A full disk, an error or the end of the process leaves what was there before. Two writers of one
file are never at work at once: the second is told so.
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import stat
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Final, TextIO

from caller.errors import BeingWrittenError, MachineError, NotFoundError, UserError
from caller.file_reading import NO_WAIT, FileDoing, named, told, what_it_is
from caller.paths import lock, private_folder, user_cache

_NO_FOLLOW: Final[int] = getattr(os, "O_NOFOLLOW", 0)
_CANNOT_SYNC: Final = frozenset({errno.EINVAL, errno.ENOTSUP, errno.EBADF, errno.EACCES, errno.EISDIR})
_HELD: Final = frozenset({errno.EEXIST, errno.EACCES, errno.EPERM, errno.EBUSY, errno.ETXTBSY})
_UNFINISHED: Final = ".hall-caller-"
_WRITER: Final = ".writer"
_SETTLED_S: Final = 2.0  # by then, a writer holds its note
_MOST_NUMBERED: Final = 1000


def check_target(target: Path, *, replace: bool = False, sources: Iterable[Path] = ()) -> None:
    """Refuse to write `target` where that would be a mistake; ask before any work is done for it.

    Parameters
    ----------
    target
        The file to be.
    replace
        Whether a file that is there may go.
    sources
        Files that are being read for it: they are never written over.

    Raises
    ------
    UserError
        If its folder is not there; if it is a link, a folder, a pipe or a device; if it is one of `sources`;
        or if it is there already and may not be replaced.
    """
    try:
        if not stat.S_ISDIR(target.parent.stat().st_mode):
            raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR))
    except FileNotFoundError:
        raise NotFoundError(
            f"There is no folder {named(target.parent)} to write {target.name} to. Make it first."
        ) from None
    except (OSError, ValueError) as error:
        raise told(error, target, "written") from None
    try:
        there = target.lstat()
    except FileNotFoundError:
        return
    except (OSError, ValueError) as error:
        raise told(error, target, "written") from None
    if not stat.S_ISREG(there.st_mode):
        raise UserError(f"{named(target)} is {what_it_is(there.st_mode)}. Choose the name of a file.")
    for source in sources:
        with contextlib.suppress(OSError, ValueError):
            if target.samefile(source):
                raise UserError(f"{named(target)} is what is being read. Choose another name to write to.")
    if not replace:
        raise UserError(f"{named(target)} is there already. Choose another name, or add --replace.")


@contextmanager
def replacing(
    target: Path,
    *,
    replace: bool = False,
    private: bool = False,
    durable: bool = True,
    sources: Iterable[Path] = (),
) -> Iterator[Path]:
    """Yield a name to write to, with the ending of `target`; at the end it becomes `target`, or goes away.

    Parameters
    ----------
    target, replace, sources
        As for `check_target`.
    private
        Whether only this user may read the file. Otherwise it has the permissions of the one it replaces, or
        the usual ones.
    durable
        Whether to wait until the file is on the disk; what can be made again need not.

    Raises
    ------
    UserError
        As for `check_target`; if another process is writing this file; or if the new file is whole, but the
        old one is held by another program: the new one then stays beside it, and its name is told.
    MachineError
        If there is no room for it, or the disk fails.
    """
    sources = tuple(sources)
    check_target(target, replace=replace, sources=sources)
    with _only_writer(target), _room(target, "written") as room:
        unfinished = room / target.name
        yield unfinished
        _permit(unfinished, target, private=private)
        if durable:
            _sync(unfinished)
        _name(unfinished, target, replace=replace)
        if durable:
            _sync(target.parent)


def write_bytes(
    target: Path,
    content: bytes,
    *,
    replace: bool = False,
    private: bool = False,
    durable: bool = True,
    sources: Iterable[Path] = (),
) -> None:
    """Write a whole file; parameters and errors as for `replacing`."""
    with replacing(target, replace=replace, private=private, durable=durable, sources=sources) as unfinished:
        fill(unfinished, content)


def write_text(
    target: Path,
    text: str,
    *,
    replace: bool = False,
    private: bool = False,
    sources: Iterable[Path] = (),
) -> None:
    """Write a whole text as UTF-8; parameters and errors as for `replacing`."""
    write_bytes(target, text.encode("utf-8"), replace=replace, private=private, sources=sources)


def fill(unfinished: Path, content: bytes | str) -> None:
    """Write a new file at a name that `replacing` has given out, or into a folder of this process alone.

    Raises
    ------
    OSError
        If it cannot be written: `replacing` tells it.
    """
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | _NO_FOLLOW | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(unfinished, flags, 0o666), "wb") as stream:
        stream.write(content.encode("utf-8") if isinstance(content, str) else content)


def check_empty(folder: Path) -> None:
    """Refuse to make a folder where there is something already.

    Raises
    ------
    UserError
        If it is there and not empty, or no folder.
    """
    try:
        if next(folder.iterdir(), None) is not None:
            raise UserError(
                f"{named(folder)} is not empty. Name a new folder, so that nothing old is mixed in."
            )
    except FileNotFoundError:
        return
    except (OSError, ValueError) as error:
        raise told(error, folder, "made") from None


@contextmanager
def making_folder(target: Path) -> Iterator[Path]:
    """Yield a new folder to fill; at the end it becomes `target`, whole, or goes away.

    Raises
    ------
    UserError
        If `target` is there and not an empty folder, or cannot be made.
    MachineError
        If there is no room.
    """
    check_empty(target)
    make_folder(target.parent)
    with _only_writer(target), _room(target, "made") as room:
        folder = room / target.name
        folder.mkdir()
        yield folder
        with contextlib.suppress(FileNotFoundError):
            target.rmdir()
        folder.rename(target)


def make_folder(path: Path) -> None:
    """Make a folder and those above it that are missing; one that is there is fine.

    Raises
    ------
    UserError
        If it cannot be made there.
    MachineError
        If there is no room.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise UserError(f"{named(path)} is there already, and is no folder. Choose another name.") from None
    except (OSError, ValueError) as error:
        raise told(error, path, "made") from error


def begin_stream(target: Path, *, replace: bool = False, sources: Iterable[Path] = ()) -> TextIO:
    """Return a new text file, open, for this user only, that grows by lines; errors as for `replacing`."""
    write_bytes(target, b"", replace=replace, private=True, sources=sources)
    try:
        opened = os.open(target, os.O_WRONLY | os.O_APPEND | _NO_FOLLOW)
    except OSError as error:
        raise told(error, target, "written") from error
    return os.fdopen(opened, "w", encoding="utf-8", buffering=1)


def private_file(path: Path) -> None:
    """Let there be a file for this user only, for a library that opens it by name.

    Raises
    ------
    OSError
        If it cannot be; also where it is a link, a pipe or a device.
    """
    opened = os.open(path, os.O_RDWR | os.O_CREAT | _NO_FOLLOW | NO_WAIT, 0o600)
    try:
        if not stat.S_ISREG(os.fstat(opened).st_mode):
            raise OSError(errno.EINVAL, "It is not a file")
    finally:
        os.close(opened)


def _permit(unfinished: Path, target: Path, *, private: bool) -> None:
    if os.name != "posix":
        return
    if private:
        unfinished.chmod(0o600)
        return
    try:
        unfinished.chmod(stat.S_IMODE(target.lstat().st_mode) & 0o777)
    except FileNotFoundError:
        unfinished.chmod(0o666 & ~_umask())


def _umask() -> int:
    """Return which permissions new files do not get; the system tells it only while it is being set."""
    usual = os.umask(0o077)
    os.umask(usual)
    return usual


def _sync(path: Path) -> None:
    """Wait until a file, or what a folder says of its files, is on the disk, where the system has that."""
    try:
        opened = os.open(path, os.O_RDONLY if os.name == "posix" else os.O_RDWR)
    except OSError as error:
        if error.errno in _CANNOT_SYNC:
            return
        raise
    try:
        os.fsync(opened)
    except OSError as error:
        if error.errno not in _CANNOT_SYNC:
            raise
    finally:
        os.close(opened)


def _name(unfinished: Path, target: Path, *, replace: bool) -> None:
    """Give a finished file its name; where another program holds that, one beside it."""
    try:
        if not replace and os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST))
        unfinished.replace(target)
    except OSError as error:
        kept = _beside(unfinished, target)
        if kept is None:
            raise
        whole = f"what was to be written is whole, and lies beside it as {kept.name}."
        if error.errno in _HELD:
            raise UserError(
                f"{named(target)} could not be replaced, since another program has it: {whole}"
            ) from None
        raise MachineError(f"{named(target)} could not be replaced ({error.strerror}): {whole}") from None


def _beside(unfinished: Path, target: Path) -> Path | None:
    """Move a finished file to a free name beside its place and return it; None where that fails too."""
    for number in range(2, _MOST_NUMBERED):
        place = target.with_name(f"{target.stem}-{number}{target.suffix}")
        try:
            os.close(os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _NO_FOLLOW, 0o600))
        except FileExistsError:
            continue
        except OSError:
            return None
        try:
            unfinished.replace(place)
        except OSError:
            with contextlib.suppress(OSError):
                place.unlink()
            return None
        return place
    return None


@contextmanager
def _room(target: Path, doing: FileDoing) -> Iterator[Path]:
    """Yield a folder of this process alone beside `target`; what writers that were killed left there goes.

    What the system refuses, here or in the body, is told.
    """
    room = None
    try:
        _clear_abandoned(target.parent)
        room = Path(tempfile.mkdtemp(prefix=_UNFINISHED, dir=target.parent))
        with _held(room / _WRITER, os.O_CREAT | os.O_EXCL):
            yield room
    except OSError as error:
        raise told(error, target, doing) from error
    finally:
        if room is not None:
            remove_tree(room)


@cache  # once for each folder is enough: a cache of spoken clips holds thousands
def _clear_abandoned(folder: Path) -> None:
    for left in folder.glob(f"{_UNFINISHED}*"):
        with contextlib.suppress(OSError, UserError):
            if time.time() - left.lstat().st_mtime > _SETTLED_S:
                with _held(left / _WRITER, os.O_CREAT):
                    pass
                remove_tree(left)


@contextmanager
def _only_writer(target: Path) -> Iterator[None]:
    """Hold the right to write `target`; where there is no place to note that, go on without."""
    name = sha256(os.fsencode(os.path.realpath(target))).hexdigest()[:32]
    try:
        note = private_folder(user_cache() / "writing") / name
        holding = _held(note, os.O_CREAT)
        holding.__enter__()
    except BlockingIOError:
        raise BeingWrittenError(
            f"{named(target)} is being written by another hall-caller just now. Wait until it is done, or "
            "choose another name."
        ) from None
    except OSError:
        yield
        return
    with contextlib.ExitStack() as stack:
        stack.push(holding)
        yield
        with contextlib.suppress(OSError):
            note.unlink()  # whoever opened it before this writes under a name of its own all the same


@contextmanager
def _held(note: Path, flags: int) -> Iterator[None]:
    """Hold a lock on a file, until this process ends at the latest.

    Raises
    ------
    BlockingIOError
        If another holds it.
    OSError
        If the file cannot be opened.
    """
    opened = os.open(note, os.O_RDWR | _NO_FOLLOW | flags, 0o600)
    try:
        lock(opened)  # on a file system without locks, each writer still has a name of its own
        yield
    finally:
        os.close(opened)


def remove_tree(folder: Path) -> None:
    """Take a folder away with all that is in it, as far as the disk allows."""
    with contextlib.suppress(OSError):  # Python 3.11 raises some all the same
        shutil.rmtree(folder, ignore_errors=True)

"""The one door for reading: every file that the program reads from a disk is opened here.

Regular files only, so that nothing waits for ever at a pipe, and never more than was asked for.

What cannot be done is told by one rule. Exit code 2: another name or folder, or a change in a file, mends it.
Exit code 1: the machine lacks or lost something, such as room on the disk.
"""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path
from typing import BinaryIO, Final, Literal

from caller.errors import CallerError, MachineError, NotFoundError

FileDoing = Literal["read", "written", "made"]

_THEIRS: Final = frozenset(
    {
        errno.EACCES, errno.EPERM, errno.EROFS, errno.ENOENT, errno.ENOTDIR, errno.EISDIR, errno.ENAMETOOLONG,
        errno.EINVAL, errno.ELOOP, errno.EEXIST, errno.EBUSY, errno.ETXTBSY, errno.ENXIO, errno.ENOTEMPTY,
    }
)  # fmt: skip
"""What another name or folder mends."""

_NOT_THERE: Final = frozenset(
    {errno.ENOENT, errno.ENOTDIR, errno.ENAMETOOLONG, errno.ELOOP, errno.EINVAL}
)  # fmt: skip

NO_MEMORY: Final = "There is not enough free memory: close other programs, and start again."

NO_WAIT: Final[int] = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOCTTY", 0) | getattr(os, "O_BINARY", 0)
"""Flags with which opening a pipe or a terminal returns at once and changes nothing."""


def told(error: OSError | ValueError, path: Path, doing: FileDoing) -> CallerError:
    """Return an error of the system as one sentence, with the exit code that the rule gives it."""
    number = error.errno if isinstance(error, OSError) else errno.EINVAL  # ValueError: a null in a name
    why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    where = named(path)
    if number == errno.ENOENT and doing == "read":
        return NotFoundError(f"There is no file {path}. Check its name and its folder.")
    if number == errno.ENAMETOOLONG:
        return NotFoundError(f"{where} cannot be {doing}: its name is too long. Choose a shorter one.")
    if number in _THEIRS:
        mend = "Check its name and who may read it." if doing == "read" else "Choose another name or folder."
        return NotFoundError(f"{where} cannot be {doing} ({why}). {mend}")
    mend = (
        "Try again, or copy it to another disk." if doing == "read" else "Make room, or choose another disk."
    )
    return MachineError(f"{where} cannot be {doing} ({why}). {mend}")


def as_told(error: OSError) -> CallerError:
    """Return an error of the system that no door has told as one sentence, by the same rule."""
    if error.errno == errno.ENOMEM:
        return MachineError(NO_MEMORY)
    if isinstance(error.filename, str | bytes):
        return told(error, Path(os.fsdecode(error.filename)), "read")
    return MachineError(f"The computer failed in something ({error.strerror or error}). Try again.")


def is_file(path: Path) -> bool:
    """Tell whether there is something to read at `path`; a name that no file can have is not there.

    Raises
    ------
    UserError
        If the folder does not let this user look.
    MachineError
        If the disk fails.
    """
    try:
        return stat.S_ISREG(path.stat().st_mode)
    except (OSError, ValueError) as error:
        if isinstance(error, OSError) and error.errno not in _NOT_THERE:
            raise told(error, path, "read") from None
        return False


def files_under(folder: Path, ending: str) -> list[Path]:
    """Return the files in a folder and those below it whose names end in `ending`, in order.

    Raises
    ------
    OSError
        If one of the folders cannot be listed: a part would pass for the whole.
    """

    def refuse(error: OSError) -> None:
        raise error

    walked = os.walk(folder, onerror=refuse)
    return sorted(Path(top, name) for top, _, names in walked for name in names if name.endswith(ending))


def read_bytes(path: Path, *, most_bytes: int) -> bytes:
    """Return what is in a file: all of it, or one byte more than `most_bytes` of a longer one.

    Raises
    ------
    UserError
        If there is no such file, it is no file but a folder, pipe or device, or it may not be read.
    MachineError
        If the disk fails.
    """
    try:
        with open_regular(path) as stream:
            return stream.read(most_bytes + 1)
    except (OSError, ValueError) as error:
        if _is_folder(path):  # which Windows cannot open at all, and Python will not
            raise NotFoundError(f"{path} is a folder. Name a file in it.") from None
        raise told(error, path, "read") from error


def open_regular(path: Path) -> BinaryIO:
    """Return a file, open for reading.

    Raises
    ------
    OSError
        If it cannot be opened, or is no regular file; for callers with words of their own for that.
    ValueError
        If no file can have that name.
    """
    opened = os.open(path, os.O_RDONLY | NO_WAIT)  # a pipe answers at once, and is then refused
    try:
        mode = os.fstat(opened).st_mode
        if not stat.S_ISREG(mode):
            raise OSError(errno.EINVAL, f"It is {what_it_is(mode)}, not a file")
        return os.fdopen(opened, "rb")
    except BaseException:
        os.close(opened)
        raise


def named(path: Path) -> str:
    """Return a path as a sentence quotes it."""
    return f'"{path}"'


def what_it_is(mode: int) -> str:
    """Return what something that is no file is, by its mode."""
    kinds = (
        (stat.S_ISLNK, "a link to another place"),
        (stat.S_ISDIR, "a folder"),
        (stat.S_ISFIFO, "a pipe"),
        (stat.S_ISSOCK, "a socket"),
    )
    return next((name for is_one, name in kinds if is_one(mode)), "a device")


def _is_folder(path: Path) -> bool:
    try:
        return stat.S_ISDIR(path.stat().st_mode)
    except (OSError, ValueError):
        return False

"""Where things live on this machine, packaged data and the user's own folders, and holding a file alone."""

from __future__ import annotations

import errno
import sys
from pathlib import Path

import platformdirs

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

_PACKAGE = Path(__file__).resolve().parent
_APP = "hall-caller"
_HELD_BY_ANOTHER = (errno.EAGAIN, errno.EACCES, errno.EDEADLK)


def packaged(kind: str) -> Path:
    """Return the folder of packaged data called `kind` ("lessons" or "sounds").

    An installed wheel holds it inside the package; a checkout holds it at the top level.
    """
    installed = _PACKAGE / "data" / kind
    return installed if installed.is_dir() else _PACKAGE.parent / kind


def user_cache() -> Path:
    """Return the folder for what can be made again (spoken clips)."""
    return platformdirs.user_cache_path(_APP, appauthor=False)


def user_data() -> Path:
    """Return the folder for what must be kept (class records, settings)."""
    return platformdirs.user_data_path(_APP, appauthor=False)


def private_folder(path: Path) -> Path:
    """Make `path` and the folders above it that are missing, for this user only, and return it."""
    if not path.is_dir():
        if path.parent != path:
            private_folder(path.parent)
        path.mkdir(exist_ok=True, mode=0o700)
    return path


def lock(opened: int) -> None:
    """Hold an open file alone until it is closed, or until this process ends.

    Where the file system has no locks, or its disk fails, nothing is held.

    Raises
    ------
    BlockingIOError
        If another process holds it.
    """
    try:
        if sys.platform == "win32":
            msvcrt.locking(opened, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno in _HELD_BY_ANOTHER:
            raise BlockingIOError(error.errno, error.strerror) from None

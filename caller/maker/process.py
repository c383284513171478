"""Processes of our own: the maker's, what its window needs, and what a lesson is tried out in."""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
import weakref
from collections.abc import Mapping
from importlib.metadata import PackageNotFoundError, version
from tempfile import TemporaryFile
from types import MappingProxyType
from typing import Final

from caller.errors import MachineError, ScreenError

EXTRA: Final = "PySide6-Essentials"
ASKED_FOR: Final = f"{EXTRA}>=6.10,<6.12" if sys.version_info < (3, 12) else f"{EXTRA}>=6.10,!=6.12.0"
PACE_S: Final = 1.4
"""How long the frame stays on a button for somebody who uses one. Usual are one to two seconds: common
practice, no source."""
_LIBRARIES: Final = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
"""What Qt's window on X11 loads: without one of them it ends the process, and no error can be caught."""


def own_program() -> list[str]:
    """Return how this program is started again, as a process of its own."""
    return [sys.executable, "-P", "-m", "caller"]


class ProgramBeside:
    """The program once more, in a process of its own.

    What it complains of goes into a file without a name: a pipe that nobody empties would hold it up.

    Parameters
    ----------
    surroundings
        Variables that it gets besides our own.
    """

    def __init__(self, *words: str, surroundings: Mapping[str, str] = MappingProxyType({})) -> None:
        self._complaints = TemporaryFile()  # noqa: SIM115 - open for as long as somebody asks
        weakref.finalize(self, self._complaints.close)
        self._process = subprocess.Popen(
            [*own_program(), *words], env=os.environ | surroundings, stderr=self._complaints
        )

    def ended(self) -> bool:
        """Return whether it is over."""
        return self._process.poll() is not None

    @property
    def exit_code(self) -> int | None:
        """What it ended with; None while it runs."""
        return self._process.returncode

    def complaint(self) -> str:
        """Return the last line that it complained in; an empty text without any."""
        self._complaints.seek(0)
        lines = self._complaints.read().decode(errors="replace").strip().splitlines()
        return lines[-1] if lines else ""


def install_command() -> str:
    """Return the one command that installs what the window needs."""
    return f'"{sys.executable}" -m pip install "{ASKED_FOR}"'


def check_extra() -> None:
    """Refuse where the library of the window is missing, or is the one that ends this Python.

    Raises
    ------
    MachineError
        With the one command that mends it.
    """
    try:
        found = version(EXTRA)
    except PackageNotFoundError:
        found = ""
    if found and not (sys.version_info < (3, 12) and found.startswith("6.12.")) and found != "6.12.0":
        return
    what = f"does not work with version {found} of it here" if found else "is missing"
    raise MachineError(
        f"The library of the lesson maker's window {what}: install it once with `{install_command()}`."
    )


def check_display() -> None:
    """Refuse where no window can open.

    Raises
    ------
    MachineError
        If there is no display, or a library of the system is missing.
    """
    if not sys.platform.startswith("linux") or os.environ.get("QT_QPA_PLATFORM"):
        return
    if not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        raise ScreenError("There is no display for the lesson maker: start it from a desktop session.")
    if os.environ.get("WAYLAND_DISPLAY"):
        return
    missing = [package for name, package in _LIBRARIES.items() if not _loads(name)]
    if missing:
        raise MachineError(
            "The lesson maker's window needs a library of the system: on Debian or Ubuntu run "
            f"`sudo apt install {' '.join(missing)}`."
        )


def _loads(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True

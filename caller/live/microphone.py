"""The microphone as a level meter: what is heard never enters this process, only how loud it is."""

from __future__ import annotations

import contextlib
import subprocess
import sys
import threading
from collections.abc import Callable, Sequence
from typing import Final

NO_MICROPHONE: Final = "No microphone: calls do not wait for quiet."
_COMMAND: Final = (sys.executable, "-P", "-m", "caller.live.level_worker")


class Microphone:
    """Passes levels on while there is a microphone; without one the lesson goes on as if it had not asked.

    Parameters
    ----------
    hear
        Is given the level of every tenth of a second, in dB of full scale, in a thread of its own.
    command
        The process that tells levels.
    """

    def __init__(self, hear: Callable[[float], None], *, command: Sequence[str] = _COMMAND) -> None:
        self._lost = False
        self._told = False
        self._closed = False
        self._process: subprocess.Popen[str] | None = None
        try:
            self._process = subprocess.Popen(
                command,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
            )
        except OSError:
            self._lost = True
            return
        listening = threading.Thread(
            target=self._listen, args=(self._process, hear), name="microphone", daemon=True
        )
        listening.start()

    def notice(self) -> str:
        """Return, once, what the teacher should know about the microphone; else an empty text."""
        if self._told or not self._lost:
            return ""
        self._told = True
        return NO_MICROPHONE

    def close(self) -> None:
        """End the process."""
        self._closed = True
        if self._process is not None:
            self._process.terminate()
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._process.wait(1.0)

    def _listen(self, process: subprocess.Popen[str], hear: Callable[[float], None]) -> None:
        for line in process.stdout or ():
            try:
                hear(float(line))
            except ValueError:
                break
        self._lost = not self._closed

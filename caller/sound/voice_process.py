"""One worker process seen from outside: start it, ask it, give it so long and no longer, end it."""

from __future__ import annotations

import json
import queue
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from caller.errors import CallerError
from caller.file_reading import read_bytes
from caller.file_writing import remove_tree
from caller.sound.speech import VoiceSettings

_LARGEST_CLIP_BYTES: Final = 40_000_000
_GRACE_S: Final = 1.0


class WorkerLostError(Exception):
    """The worker ended, could not start, or did not answer in time; it is gone now."""


class NotSpokenError(Exception):
    """The worker is well, and could not speak: this sentence, or this language at all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineReport:
    """What the worker says about itself."""

    engine: str
    """Kind, driver and versions."""
    voice: str
    """The voice that speaks unless another is asked for."""
    voices: tuple[str, ...]
    """All its voices of this language."""

    @property
    def identity(self) -> str:
        """What a kept clip depends on."""
        return f"{self.engine}; {self.voice}"


class VoiceProcess:
    """A worker for one language, started at once; `greet` waits until it can speak.

    Raises
    ------
    WorkerLostError
        The system cannot start it.
    """

    report: EngineReport

    def __init__(self, language: str, *, engines: tuple[str, ...] = ()) -> None:
        self._asked = 0
        self.has_spoken = False
        self._answers: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        try:
            self._folder = Path(tempfile.mkdtemp(prefix="caller-voice-"))
        except OSError as error:
            raise WorkerLostError(f"no temporary folder can be made ({error.strerror})") from error
        # -P keeps Python from importing whatever lies in the folder that the teacher happens to be in.
        command = [
            sys.executable,
            "-P",
            "-m",
            "caller.sound.voice_worker",
            str(self._folder),
            language,
            *engines,
        ]
        try:
            self._process = subprocess.Popen(
                command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                encoding="utf-8",
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
            )
        except OSError as error:
            remove_tree(self._folder)
            raise WorkerLostError(f"the voice cannot start ({error.strerror})") from error
        # Windows cannot wait for a pipe with a time limit; a thread and a queue can, everywhere.
        self._reader = threading.Thread(target=self._read, name="voice-answers", daemon=True)
        self._reader.start()

    def greet(self, *, deadline_s: float) -> EngineReport:
        """Wait for the worker's first words and return what it says about itself (kept as `report`).

        Raises
        ------
        WorkerLostError
            It ended, or said nothing within `deadline_s`.
        NotSpokenError
            No engine of this machine speaks the language; the worker has ended.
        """
        hello = self._next_answer(deadline_s)
        if "error" in hello:
            self.end()
            raise NotSpokenError(str(hello["error"]))
        self.report = EngineReport(
            engine=str(hello["engine"]), voice=str(hello["voice"]), voices=tuple(map(str, hello["voices"]))
        )
        return self.report

    @property
    def pid(self) -> int:
        """The process id."""
        return self._process.pid

    def speak(self, text: str, settings: VoiceSettings, *, deadline_s: float) -> bytes:
        """Return the bytes of the finished clip (see `caller.sound.kept_voice`).

        Raises
        ------
        WorkerLostError
            It ended, or was ended because it did not answer within `deadline_s`.
        NotSpokenError
            It could not speak this sentence.
        """
        self._asked += 1
        name = f"{self._asked}.clip"
        request = {
            "id": self._asked,
            "text": text,
            "rate_wpm": settings.rate_wpm,
            "voice": settings.name,
            "tune": settings.tune,
            "file": name,
        }
        try:
            assert self._process.stdin is not None
            self._process.stdin.write(json.dumps(request) + "\n")
            self._process.stdin.flush()
        except (OSError, ValueError) as error:
            self.end()
            raise WorkerLostError("the voice has stopped") from error
        answer = self._next_answer(deadline_s)
        self.has_spoken = True
        if "error" in answer:
            raise NotSpokenError(str(answer["error"]))
        clip = self._folder / name
        try:
            content = read_bytes(clip, most_bytes=_LARGEST_CLIP_BYTES)
            clip.unlink()
        except (OSError, CallerError) as error:
            raise NotSpokenError(f"the spoken clip cannot be read ({error})") from error
        return content

    def end(self) -> None:
        """End the process whatever it is doing, and leave nothing of it behind."""
        self._process.kill()
        self._process.wait()
        self._reader.join(_GRACE_S)
        for pipe in (self._process.stdin, self._process.stdout):
            try:
                if pipe is not None:
                    pipe.close()
            except OSError:  # unsent bytes for a process that is gone
                pass
        remove_tree(self._folder)

    def _next_answer(self, deadline_s: float) -> dict[str, Any]:
        started = time.monotonic()
        try:
            line = self._answers.get(timeout=deadline_s)
        except queue.Empty:
            self.end()
            waited = time.monotonic() - started
            raise WorkerLostError(f"the voice did not answer for {waited:.1f} seconds") from None
        if line is None:
            self.end()
            raise WorkerLostError("the voice has stopped")
        answer: dict[str, Any] = json.loads(line)
        return answer

    def _read(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            self._answers.put(line)
        self._answers.put(None)

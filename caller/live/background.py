"""What goes on beside the picture: worker threads whose errors are told, the log of a run, the terminal."""

from __future__ import annotations

import contextlib
import ctypes
import json
import logging
import os
import queue
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Final, Self, TextIO, TypeVar

from caller.errors import CallerError
from caller.file_writing import begin_stream
from caller.live.words import said

T = TypeVar("T")
_log = logging.getLogger(__name__)


class RunLog:
    """Writes events with their time in seconds, by the wall clock (`at`) and the steady one (`steady`).

    A disk that is full costs the rest of the log, never the lesson.

    Parameters
    ----------
    path
        The file; None keeps no log.
    replace
        Whether a file that is there may go.
    sources
        Files that are being read: they are never written over.

    Raises
    ------
    CallerError
        The file cannot be begun.
    """

    def __init__(self, path: Path | None, *, replace: bool = False, sources: Iterable[Path] = ()) -> None:
        self._file: TextIO | None = None
        if path is not None:
            # For the owner's eyes: it tells which class was where, and when.
            self._file = begin_stream(path, replace=replace, sources=sources)

    def event(self, name: str, **facts: str | float | None) -> None:
        """Write one event."""
        file = self._file
        if file is None:
            return
        line = {"at": time.time(), "steady": time.monotonic(), "event": name, **facts}
        try:
            file.write(json.dumps(line) + "\n")
        except OSError as error:
            self._file = None
            with contextlib.suppress(OSError):
                file.close()
            _log.warning("The log ends here (%s); the lesson goes on.", error.strerror)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._file is not None:
            with contextlib.suppress(OSError):
                self._file.close()


class Background:
    """Work beside the lesson. An error in it reaches the log and the teacher's line, and the lesson goes on.

    While it is open it also hears of errors that end any other thread of this program: the voice's, the
    record's, the sound system's.
    """

    def __init__(self, log: RunLog) -> None:
        self._run_log = log
        self._workers: dict[str, ThreadPoolExecutor] = {}
        self._notices: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._known: set[str] = set()
        self._before = threading.excepthook
        threading.excepthook = self._thread_ended

    def submit(self, name: str, work: Callable[[], T]) -> Future[T]:
        """Have `work` done by the worker called `name`, one piece after the other; its error is told."""
        worker = self._workers.get(name)
        if worker is None:
            worker = self._workers[name] = ThreadPoolExecutor(max_workers=1, thread_name_prefix=name)
        return worker.submit(self._told, name, work)

    @contextmanager
    def repeated(self, name: str, every_s: float, work: Callable[[], None]) -> Iterator[None]:
        """Do `work` every `every_s` seconds meanwhile, in a thread of its own; an error does not end that."""
        stop = threading.Event()

        def again() -> None:
            while not stop.wait(every_s):
                with suppress(Exception):  # told already
                    self._told(name, work)

        thread = threading.Thread(target=again, name=name, daemon=True)
        thread.start()
        try:
            yield
        finally:
            stop.set()
            thread.join()

    def tell(self, sentence: str) -> None:
        """Let the teacher read a sentence."""
        self._notices.put(sentence)

    def trouble(self, name: str, error: BaseException) -> None:
        """Log an error, and tell the teacher of it, once for each kind."""
        what = str(error) if isinstance(error, CallerError) else f"{type(error).__name__}: {error}"
        self._run_log.event("trouble", where=name, what=what)
        kind = f"{name} {type(error).__name__}"
        if kind not in self._known:
            self._known.add(kind)
            self.tell(said("lesson.trouble").format(what=name))

    def notice(self) -> str:
        """Return what the teacher should know, each thing once; an empty text otherwise."""
        with suppress(queue.Empty):
            return self._notices.get_nowait()
        return ""

    def close(self) -> None:
        """Let go what was not begun."""
        for worker in self._workers.values():
            worker.shutdown(wait=False, cancel_futures=True)
        if threading.excepthook == self._thread_ended:
            threading.excepthook = self._before

    def _told(self, name: str, work: Callable[[], T]) -> T:
        try:
            return work()
        except Exception as error:
            self.trouble(name, error)
            raise

    def _thread_ended(self, ended: threading.ExceptHookArgs) -> None:
        if ended.exc_value is not None:
            self.trouble(ended.thread.name if ended.thread is not None else "thread", ended.exc_value)


class CallsBeside:
    """Calls of a library, made one after the other beside the lesson: it may hang in any.

    A sound system whose server hangs or dies at such a moment never answers; on a busy computer it is only
    slow.

    Parameters
    ----------
    trouble
        What the library raises; it ends the calls.
    """

    def __init__(self, *calls: Callable[[], object], trouble: type[Exception]) -> None:
        self._calls, self._trouble = calls, trouble
        self.since_s = time.monotonic()
        self.failed: Exception | None = None
        self._over = threading.Event()  # a thread whose `join` Ctrl-C interrupts counts as ended (3.11)
        threading.Thread(target=self._make, name="sound system", daemon=True).start()

    def _make(self) -> None:
        try:
            for call in self._calls:
                call()
        except self._trouble as failed:
            self.failed = failed
        finally:
            self._over.set()

    def waits(self, within_s: float = 0.0) -> bool:
        """Return whether an answer is still waited for, after so long at most."""
        return not self._over.wait(within_s)


_M_MMAP_THRESHOLD: Final = -3  # as in GNU's malloc.h
_LARGE_BYTES: Final = 1 << 20


def return_large_pieces() -> None:
    """Have each large piece of memory, a picture or a minute of sound, go back when it is freed.

    GNU's allocator would begin to keep them, a fifth of what a lesson holds; others give them back.
    """
    with suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).mallopt(_M_MMAP_THRESHOLD, _LARGE_BYTES)


def give_back_freed() -> None:
    """Give back what smaller pieces of memory have left free between those in use, which takes some ms.

    GNU's allocator would keep it, for each thread apart; others need not be asked.
    """
    with suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).malloc_trim(0)


_STDERR: Final = 2  # the C library's, whatever Python's own stream is


class _StandardError:
    """The process's standard error, thrown away for as long as anybody wants it so: any thread may."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._wanted_by = 0
        self._kept = _STDERR

    def hide(self) -> None:
        """Throw away what comes from now on."""
        with self._lock:
            if not self._wanted_by:
                kept = os.dup(_STDERR)
                nowhere = os.open(os.devnull, os.O_WRONLY)
                os.dup2(nowhere, _STDERR)
                os.close(nowhere)
                self._kept = kept
            self._wanted_by += 1

    def show(self) -> None:
        """Let it through again, unless somebody else wants it hidden still."""
        with self._lock:
            self._wanted_by -= 1
            if not self._wanted_by:
                with suppress(OSError):
                    os.dup2(self._kept, _STDERR)
                os.close(self._kept)


_standard_error: Final = _StandardError()


@contextmanager
def nothing_but_ours() -> Iterator[None]:
    """Let nothing but this program's own words reach the terminal: a sound system's threads grumble.

    Where those words go the same way as the grumbles, nothing is hidden.
    """
    try:
        apart = sys.stderr.fileno() != _STDERR
        if apart:
            _standard_error.hide()
    except (AttributeError, OSError, ValueError):  # there is none, or it is no file
        apart = False
    try:
        yield
    finally:
        if apart:
            _standard_error.show()

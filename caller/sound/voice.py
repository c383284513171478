"""The voice: sentences in, clips out, whatever becomes of the speech engine.

`VoiceBox` asks a worker process ahead of time, keeps what it gets on disk, and gives up on one sentence
rather than on the lesson: a clip that could not be had is silence of about its length, marked as missing.
"""

from __future__ import annotations

import contextlib
import logging
import threading
import time
from collections import deque
from collections.abc import Iterable
from concurrent.futures import Future
from types import TracebackType
from typing import Final, Self, TypeAlias

import numpy as np

from caller.sound import kept_voice
from caller.sound.kept_voice import ClipCache, clip_key
from caller.sound.speech import (
    ENGINES_WITHOUT_EXTRA,
    LONGEST_TEXT,
    Speech,
    VoiceSettings,
    estimate_s,
    frozen,
    is_sayable,
    not_spoken,
    takes_long,
)
from caller.sound.voice_process import NotSpokenError, VoiceProcess, WorkerLostError

FIRST_DEADLINE_S: Final = 10.0
"""Time for a worker to start, and again for its first sentence: a cold laptop's disk is slow."""

DEADLINE_S: Final = 5.0
"""Time for each later sentence; it usually takes a fiftieth of a second.  One second was tried: on a machine
in heavy use it ended workers that were only slow, and each new one cost more than waiting."""

RETRY_AFTER_S: Final = 30.0
"""An engine or a sentence that was given up on is not tried again for so long."""

_SLOW_FACTOR: Final = 6.0  # three tries at a line, each at most twice as long as it lasts

_ATTEMPTS: Final = 2

Request: TypeAlias = tuple[str, VoiceSettings]

_log = logging.getLogger(__name__)


class VoiceBox:
    """Speaks sentences through a worker process and a cache.

    Nothing is started until a sentence is asked for that is not in the cache.  Its methods may be called
    from any thread.

    Parameters
    ----------
    cache : ClipCache, optional
        Where clips are kept; the user's own cache if left out.
    engines : tuple of str
        Engines to try, in order (see `caller.sound.speech.ENGINES`); all of them if left out.
    """

    def __init__(
        self,
        cache: ClipCache | None = None,
        *,
        engines: tuple[str, ...] = (),
        first_deadline_s: float = FIRST_DEADLINE_S,
        deadline_s: float = DEADLINE_S,
        retry_after_s: float = RETRY_AFTER_S,
    ) -> None:
        self._cache = cache if cache is not None else ClipCache()
        self._engines = engines
        self._first_deadline_s = first_deadline_s
        self._deadline_s = deadline_s
        self._retry_after_s = retry_after_s
        self._changed = threading.Condition()
        self._waiting: deque[Request] = deque()
        self._expected: list[str] = []
        self._promised: dict[Request, Future[Speech]] = {}
        self._thread: threading.Thread | None = None
        self._closed = False
        self._workers: dict[str, VoiceProcess] = {}
        self._identities: dict[str, str] = {}
        self._without_extra: set[str] = set()
        self._given_up: dict[str | Request, tuple[float, str]] = {}

    def expect(self, language: str) -> None:
        """Have the worker for a language started, if none of its sentences can be kept; return at once."""
        if kept_voice.recall(self._cache.folder, language) is None:
            with self._changed:
                self._expected.append(language)
                self._begin_serving()

    def speak_ahead(self, requests: Iterable[Request]) -> None:
        """Have each (text, settings) made ready, in order, in the background; return at once."""
        for text, settings in requests:
            if is_sayable(text) and len(text) <= LONGEST_TEXT:
                self._promise((text, settings), urgent=False)

    def clip(self, text: str, settings: VoiceSettings, *, within_s: float | None = None) -> Speech:
        """Return `text` spoken, from the cache or the engine.

        Parameters
        ----------
        within_s : float, optional
            How long the caller can wait.  Left out, it waits as long as the deadlines of the worker allow.

        Returns
        -------
        Speech
            `missing` where it could not be spoken (in time); it may be there when asked for again.
        """
        if not is_sayable(text):
            return Speech(samples=frozen(np.zeros(0, np.float32)), words=())
        if len(text) > LONGEST_TEXT:
            return not_spoken(text, settings, f"a sentence may have at most {LONGEST_TEXT} characters")
        kept = self._kept(text, settings)
        if kept is not None:
            return kept
        promised = self._promise((text, settings), urgent=True)
        try:
            return promised.result(timeout=within_s)
        except TimeoutError:
            return not_spoken(text, settings, "the voice was not ready in time")

    @property
    def pending(self) -> int:
        """The number of sentences still to be made ready."""
        with self._changed:
            return len(self._promised)

    def close(self) -> None:
        """End the worker and whatever waits for it; safe to call twice."""
        with self._changed:
            self._closed = True
            self._waiting.clear()
            self._changed.notify_all()
            workers, thread = list(self._workers.values()), self._thread
        for worker in workers:
            worker.end()
        if thread is not None:
            thread.join()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _promise(self, request: Request, *, urgent: bool) -> Future[Speech]:
        """Return the future of a sentence; an urgent one goes before all that is only wanted ahead."""
        with self._changed:
            promised = self._promised.get(request)
            if promised is None:
                promised = Future()
                if self._closed:
                    promised.set_result(not_spoken(*request, "the voice was switched off"))
                    return promised
                self._promised[request] = promised
                self._waiting.append(request)
            if urgent and request in self._waiting:
                self._waiting.remove(request)
                self._waiting.appendleft(request)
            self._begin_serving()
            return promised

    def _begin_serving(self) -> None:
        if self._thread is None:
            self._thread = threading.Thread(target=self._serve, name="voice", daemon=True)
            self._thread.start()
        self._changed.notify_all()

    def _serve(self) -> None:
        """Fulfil promises one after another until closed.  Only this thread starts workers and asks them."""
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._waiting or self._expected or self._closed)
                if self._closed:
                    break
                expected, self._expected = self._expected, []
                request = self._waiting.popleft() if self._waiting else None
            for language in expected:
                with contextlib.suppress(Exception):  # it is told where a sentence is wanted
                    self._worker(language)
            if request is None:
                continue
            try:
                speech = self._speak(request)
            except MemoryError as error:  # told once, by whoever waits for it
                with self._changed:
                    promised = self._promised.pop(request)
                promised.set_exception(error)
                continue
            except Exception as error:
                _log.exception("speaking failed")
                speech = not_spoken(*request, f"the voice failed ({type(error).__name__})")
            with self._changed:
                promised = self._promised.pop(request)
            promised.set_result(speech)
        with self._changed:
            unkept, self._promised = self._promised, {}
            self._workers.clear()
        for request, promised in unkept.items():
            try:
                promised.set_result(not_spoken(*request, "the voice was switched off"))
            except MemoryError as error:
                promised.set_exception(error)

    def _speak(self, request: Request) -> Speech:
        text, settings = request
        kept = self._kept(text, settings)
        if kept is not None:
            return kept
        why = self._refusal(settings.language) or self._refusal(request)
        if why:
            return not_spoken(text, settings, why)
        blamed: str | Request = settings.language
        for _ in range(_ATTEMPTS):
            blamed = settings.language
            try:
                worker = self._worker(settings.language)
                blamed = request
                kept = self._kept(text, settings)
                if kept is not None:
                    return kept
                deadline_s = self._deadline_s if worker.has_spoken else self._first_deadline_s
                if takes_long(worker.report.engine):
                    deadline_s += _SLOW_FACTOR * estimate_s(text, settings.rate_wpm)
                content = worker.speak(text, settings, deadline_s=deadline_s)
                speech = kept_voice.from_bytes(content)
            except WorkerLostError as error:
                why = str(error)
                with self._changed:
                    self._workers.pop(settings.language, None)
                if self._closed:
                    return not_spoken(text, settings, "the voice was switched off")
            except (NotSpokenError, kept_voice.DamagedClipError) as error:
                why = str(error)
            else:
                self._cache.put(clip_key(text, settings, worker.report.identity), content)
                return speech
        self._given_up[blamed] = (time.monotonic(), why)
        _log.warning("Not spoken: “%s” (%s).", text, why)
        return not_spoken(text, settings, why)

    def _worker(self, language: str) -> VoiceProcess:
        """Return the worker for a language, started if need be.

        Raises
        ------
        WorkerLostError, NotSpokenError
            It cannot be started, or no engine speaks the language.
        """
        worker = self._workers.get(language)
        if worker is not None:
            return worker
        engines = self._engines or (ENGINES_WITHOUT_EXTRA if language in self._without_extra else ())
        worker = VoiceProcess(language, engines=engines)
        with self._changed:
            # Known before it has answered, so that `close` need not wait for one that hangs.
            self._workers[language] = worker
            closed = self._closed
        if closed:
            worker.end()
        try:
            identity = worker.greet(deadline_s=self._first_deadline_s).identity
        except NotSpokenError:
            with self._changed:
                self._workers.pop(language, None)
            raise
        except WorkerLostError:
            # An extra that takes the worker down with it is no reason to be silent.
            self._without_extra.add(language)
            raise
        self._identities[language] = identity
        kept_voice.note(self._cache.folder, language, identity)
        return worker

    def _kept(self, text: str, settings: VoiceSettings) -> Speech | None:
        """Return the cached clip of the engine last known to speak this language."""
        identity = self._identities.get(settings.language)
        if identity is None:
            identity = kept_voice.recall(self._cache.folder, settings.language)
            if identity is None:
                return None
            # A worker that has answered meanwhile knows better than the note.
            identity = self._identities.setdefault(settings.language, identity)
        return self._cache.get(clip_key(text, settings, identity))

    def _refusal(self, subject: str | Request) -> str:
        """Return why `subject` was given up on lately, or nothing."""
        since, why = self._given_up.get(subject, (float("-inf"), ""))
        return why if time.monotonic() - since < self._retry_after_s else ""

"""The process that speaks: `python -m caller.sound.voice_worker FOLDER LANGUAGE [ENGINE...]`.

It reads one JSON object a line on standard input and answers each with one on standard output.

    → {"id": 1, "text": "Half past four.", "rate_wpm": 120, "voice": null, "tune": "answer",
       "file": "1.clip"}
    ← {"id": 1, "voice": "English (Received Pronunciation)"}          the clip is in the file, in FOLDER
    ← {"id": 1, "error": "the speech engine wrote no sound"}          it is not

Its first line says which engine it is: {"engine": …, "voice": …, "voices": […]}, or {"error": …} where none
speaks the language. When its input ends it removes FOLDER, which is its own, and ends.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, TextIO

from caller.file_writing import fill
from caller.sound import MELODIES
from caller.sound.kept_voice import to_bytes
from caller.sound.neural_engine import LargeVoice, SmallVoice
from caller.sound.paced_engine import PacedEngine
from caller.sound.speech import ENGINES, LONGEST_TEXT, finish_speech
from caller.sound.voice_engine import Engine, NoVoiceError, SpeechEngine, VoiceName

_NEURAL: dict[str, type[PacedEngine]] = {"neural": SmallVoice, "large": LargeVoice}
_NETWORK = frozenset({"socket.connect", "socket.getaddrinfo", "socket.gethostbyname", "urllib.Request"})


def main(arguments: list[str]) -> int:
    """Serve requests until standard input ends; return the exit code."""
    answers = _own_standard_output()
    sys.addaudithook(_refuse_the_network)
    # Ctrl-C reaches the whole terminal; whether the lesson ends is for the program to decide, and it ends
    # this one.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    folder, language, *kinds = arguments
    try:
        return _serve(answers, Path(folder), language, tuple(kinds) or ENGINES)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


class Desk:
    """The engines of one language: the best that opens, and the others for a voice that it does not have.

    Raises
    ------
    NoVoiceError
        No engine of this machine speaks `language`; the text says why each was passed over.
    """

    def __init__(self, language: str, kinds: tuple[str, ...]) -> None:
        self._language = language
        self._kinds = list(kinds)
        self._open: list[SpeechEngine] = []
        self.best, self.voice = self.choose(None)

    def choose(self, name: str | None) -> tuple[SpeechEngine, VoiceName]:
        """Return the first engine that speaks, as the voice of that name where one is asked for."""
        reasons: list[str] = []
        for engine in self._engines(reasons):
            try:
                return engine, engine.choose(self._language, name)
            except NoVoiceError as error:
                reasons.append(str(error))
        raise NoVoiceError("; ".join(reasons))

    def _engines(self, reasons: list[str]) -> Iterator[SpeechEngine]:
        """Yield the engines, opened one after another and only when come to."""
        yield from self._open
        while self._kinds:
            kind = self._kinds.pop(0)
            try:
                if kind in _NEURAL:
                    _NEURAL[kind].choose(self._language)  # before a second's work of opening it
                engine: SpeechEngine = _NEURAL[kind]() if kind in _NEURAL else Engine(kind)
                engine.choose(self._language)
            except Exception as error:
                # Drivers raise anything, COM and Objective-C errors among them.
                reasons.append(f"{kind}: {str(error) or type(error).__name__}")
            else:
                self._open.append(engine)
                yield engine


def _serve(answers: TextIO, folder: Path, language: str, kinds: tuple[str, ...]) -> int:
    try:
        desk = Desk(language, kinds)
    except NoVoiceError as error:
        _send(answers, {"error": str(error)})
        return 1
    voices = [voice.label for voice in desk.best.speaking(language)]
    _send(answers, {"engine": desk.best.identity, "voice": desk.voice.label, "voices": voices})
    for line in sys.stdin:
        request = json.loads(line)
        try:
            voice = _speak(desk, folder, request)
            _send(answers, {"id": request["id"], "voice": voice})
        except (OSError, ValueError, NoVoiceError) as error:
            _send(answers, {"id": request["id"], "error": str(error)})
        except Exception as error:  # drivers raise anything
            # pyttsx3 does not run again after an error in its loop; a new process does.
            _send(answers, {"id": request["id"], "error": f"{type(error).__name__}: {error}"})
            return 1
    return 0


def _speak(desk: Desk, folder: Path, request: dict[str, Any]) -> str:
    """Write the finished clip of one request to its file; return the name of the voice that spoke."""
    text = str(request["text"])[:LONGEST_TEXT]
    target = folder / request["file"]
    engine, voice = desk.choose(request["voice"])
    melody = MELODIES[request["tune"]]
    rate_wpm = int(request["rate_wpm"])
    raw = engine.say(text, target.with_suffix(".wav"), voice=voice, rate_wpm=rate_wpm, melody=melody)
    fill(target, to_bytes(finish_speech(raw.samples, raw.rate, words=raw.words, voice=voice.label)))
    return voice.label


def _refuse_the_network(event: str, _arguments: object) -> None:
    """Keep any engine from fetching anything: no address is looked up here, and none called."""
    if event in _NETWORK:
        raise PermissionError("the voice works offline")


def _own_standard_output() -> TextIO:
    """Return a stream for the answers; what anyone else prints (pyttsx3 does) goes nowhere."""
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
    return answers


def _send(answers: TextIO, message: dict[str, Any]) -> None:
    answers.write(json.dumps(message) + "\n")
    answers.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

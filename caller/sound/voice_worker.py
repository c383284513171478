"""The process that speaks: `python -m caller.sound.voice_worker FOLDER LANGUAGE [ENGINE...]`.

It reads one JSON object a line on standard input and answers each with one on standard output.

    → {"id": 1, "text": "Half past four.", "rate_wpm": 120, "voice": null, "file": "1.clip"}
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
from pathlib import Path
from typing import Any, TextIO

from caller.file_writing import fill
from caller.sound.audiofile import read_mono
from caller.sound.clip_file import to_bytes
from caller.sound.speech import LONGEST_TEXT
from caller.sound.speech_finish import finish_speech
from caller.sound.voice_engine import ENGINES, Engine, NoVoiceError, open_engine

_LONGEST_S = 300.0


def main(arguments: list[str]) -> int:
    """Serve requests until standard input ends; return the exit code."""
    answers = _own_standard_output()
    # Ctrl-C reaches the whole terminal; whether the lesson ends is for the program to decide, and it ends
    # this one.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    folder, language, *kinds = arguments
    try:
        return _serve(answers, Path(folder), language, tuple(kinds) or ENGINES)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _serve(answers: TextIO, folder: Path, language: str, kinds: tuple[str, ...]) -> int:
    try:
        engine = open_engine(language, kinds)
    except NoVoiceError as error:
        _send(answers, {"error": str(error)})
        return 1
    chosen = engine.choose(language)
    voices = [voice.label for voice in engine.speaking(language)]
    _send(answers, {"engine": engine.identity, "voice": chosen.label, "voices": voices})
    for line in sys.stdin:
        request = json.loads(line)
        try:
            voice = _speak(engine, folder, language, request)
            _send(answers, {"id": request["id"], "voice": voice})
        except (OSError, ValueError) as error:
            _send(answers, {"id": request["id"], "error": str(error)})
        except Exception as error:  # drivers raise anything
            # pyttsx3 does not run again after an error in its loop; a new process does.
            _send(answers, {"id": request["id"], "error": f"{type(error).__name__}: {error}"})
            return 1
    return 0


def _speak(engine: Engine, folder: Path, language: str, request: dict[str, Any]) -> str:
    """Write the finished clip of one request to its file; return the name of the voice that spoke."""
    text = str(request["text"])[:LONGEST_TEXT]
    target = folder / request["file"]
    raw_file = target.with_suffix(".wav")
    voice = engine.choose(language, request["voice"])
    try:
        words = engine.write(text, raw_file, voice=voice, rate_wpm=int(request["rate_wpm"]))
        raw, rate = read_mono(raw_file, longest_s=_LONGEST_S)
        fill(target, to_bytes(finish_speech(raw, rate, words=words, voice=voice.label)))
    finally:
        raw_file.unlink(missing_ok=True)
    return voice.label


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

"""The speech engine itself, behind pyttsx3.  Only the worker imports this: an engine can end its process.

What pyttsx3 does not say, and this module knows:

- One engine, one thread, one `runAndWait` per file; more lose files without an error.
- `runAndWait` may return before the synthesis has finished: the file is whole only after the engine's last
  event.  A file read earlier is empty, or half of itself.
- With espeak, the end of each run calls `stop`, which cancels what the library has not come to yet: the rate
  that was just set, at times the sentence.  It speaks at the wrong rate, without an error.
- With espeak, a file that cannot be written raises inside the library's callback, and `runAndWait` never
  returns; other engines report success: end the loop, and look at the file.
- A new voice may come with a rate of its own: set the voice first, then the rate, each time.
- Some engines read markup in the text, some of it able to name files: it is blanked out, length for length,
  so that word positions still fit the caller's text.
"""

from __future__ import annotations

import ctypes
import importlib
import os
import re
import sys
import threading
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from types import SimpleNamespace
from typing import Any, Final, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from caller.hall.bands import spectrum_size
from caller.languages.folders import CODES, table
from caller.sound import PLAINLY, Melody
from caller.sound.audiofile import read_mono
from caller.sound.speech import FASTEST_WPM, PACED, SLOWEST_WPM, TUNED, estimate_s

WordTime: TypeAlias = tuple[float, int, int]
"""Seconds from the first sample, index of the word's first character, number of its characters."""

_LONGEST_S: Final = 300.0
_TRIES: Final = 4
_NEAR: Final = 0.05  # as near as is tried for: children hear no difference of pace under a tenth
_HEARD_DB: Final = -50.0
PITCH, MIDDLE_PITCH, _HIGHEST = 38, 50, 99  # a little lower than the middle of the engine's scale
RANGE: Final = 38  # of its scale, for a tune as lively as usual; its middle is a sing-song
PITCH_OF_A_SEMITONE: Final = 50.0 / 12.0  # from its middle the scale goes an octave to either side
_LOW_HZ, _LOW_DB = 250.0, -7.0
_BELLS: Final = ((800.0, 0.8, 4.0), (3000.0, 0.7, 2.0))
"""About which frequency (Hz), how wide (octaves to where it is an e-th) and by how many dB it is louder."""
_MARKUP: Final = re.compile(r"[<>]|\[\[|\]\]|[\x00-\x1f\x7f]")


class NoVoiceError(Exception):
    """No engine of this machine speaks the language."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VoiceName:
    """One voice that an engine offers."""

    key: str
    """What the engine calls it."""
    label: str
    """What a person calls it."""
    languages: tuple[str, ...]
    """BCP 47 tags, lower case."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Utterance:
    """What an engine made of one sentence."""

    samples: NDArray[np.float32]
    """Mono, shape (n,)."""
    rate: int
    """Samples a second."""
    words: tuple[WordTime, ...] | None
    """When each word begins; None where the engine does not tell."""


class SpeechEngine(Protocol):
    """The face of every engine: what the worker knows of it."""

    @property
    def identity(self) -> str:
        """Name and version of what makes the sound: clips of another identity sound different."""

    def speaking(self, language: str) -> list[VoiceName]:
        """Return the voices of a language."""

    def choose(self, language: str, name: str | None = None) -> VoiceName:
        """Return the voice for a language tag and part of a name; raise `NoVoiceError` if there is none."""

    def say(
        self, text: str, path: Path, *, voice: VoiceName, rate_wpm: int, melody: Melody = PLAINLY
    ) -> Utterance:
        """Speak `text`, with `path` for a file if it needs one; raise OSError if no sound came of it."""


class Engine:
    """One open engine behind pyttsx3, ready to write sentences to files."""

    def __init__(self, kind: str) -> None:
        self.kind = kind
        if kind == "bundled":
            _lend_bundled_library()
        import pyttsx3  # noqa: PLC0415 - its driver must find the library lent above

        self._engine: Any = pyttsx3.init("espeak" if kind == "bundled" else None)
        self._driver_name = str(self._engine)
        self._written = threading.Event()
        self._words: list[tuple[float, int, int]] = []
        if self._driver_name == "espeak":
            self._listen_to_espeak()
        self.voices = tuple(_voice_name(voice) for voice in self._engine.getProperty("voices"))

    @property
    def identity(self) -> str:
        """Name and version of what makes the sound: clips of another identity sound different."""
        parts = [self.kind, self._driver_name, f"pyttsx3 {version('pyttsx3')}", PACED]
        if self._driver_name == "espeak":
            from pyttsx3.drivers import _espeak  # noqa: PLC0415

            parts += [f"espeak-ng {_espeak.Info().decode()}", TUNED]
            parts.append(f"pitch {PITCH}, range {RANGE}, {_LOW_DB:g}, {_BELLS} dB")
        return ", ".join(parts)

    def speaking(self, language: str) -> list[VoiceName]:
        """Return the voices of a language, whatever their dialect."""
        base = language.lower().split("-")[0]
        return [v for v in self.voices if any(tag.split("-")[0] == base for tag in v.languages)]

    def choose(self, language: str, name: str | None = None) -> VoiceName:
        """Return the voice for a language tag, preferring the one whose name or key contains `name`.

        Raises
        ------
        NoVoiceError
            No voice of this engine speaks the language.
        """
        tag = language.lower()
        fitting = self.speaking(language)
        if not fitting:
            raise NoVoiceError(f"no voice of this machine speaks “{language}”")
        wanted = (name or "").strip().casefold()
        if wanted:
            named = [v for v in fitting if wanted in v.label.casefold() or wanted in v.key.casefold()]
            fitting = named or fitting
        return min(fitting, key=lambda voice: _distance(voice, tag))

    def say(
        self, text: str, path: Path, *, voice: VoiceName, rate_wpm: int, melody: Melody = PLAINLY
    ) -> Utterance:
        """Speak `text` by way of the file `path`, which is gone afterwards, as long as it is asked to last.

        An engine's own rate is kept on the whole only: short lines come out up to half as fast again. See
        `caller.sound.speech.estimate_s` for what is asked.

        Raises
        ------
        OSError
            The engine left no sound there.
        """
        asked_s = estimate_s(plain(text), rate_wpm)
        best, best_off = None, np.inf
        rate_tried = float(rate_wpm)
        for _ in range(_TRIES):
            spoken = self._spoken(text, path, voice=voice, rate_wpm=round(rate_tried), melody=melody)
            ratio = heard_s(spoken.samples, spoken.rate) / asked_s
            if best is None or abs(ratio - 1.0) < best_off:
                best, best_off = spoken, abs(ratio - 1.0)
            rate_wanted = min(max(rate_tried * ratio, SLOWEST_WPM), FASTEST_WPM)
            if best_off <= _NEAR or round(rate_wanted) == round(rate_tried):
                break
            rate_tried = rate_wanted
        assert best is not None
        return best

    def _spoken(self, text: str, path: Path, *, voice: VoiceName, rate_wpm: int, melody: Melody) -> Utterance:
        try:
            words = self.write(text, path, voice=voice, rate_wpm=rate_wpm, melody=melody)
            samples, rate = read_mono(path, longest_s=_LONGEST_S)
            if self._driver_name == "espeak":
                samples = equalised(samples, rate)
        finally:
            path.unlink(missing_ok=True)
        return Utterance(samples=samples, rate=rate, words=None if words is None else tuple(words))

    def write(
        self, text: str, path: Path, *, voice: VoiceName, rate_wpm: int, melody: Melody = PLAINLY
    ) -> list[tuple[float, int, int]] | None:
        """Speak `text` into the file `path`; return (seconds, first character, length) of each word if known.

        Raises
        ------
        OSError
            The engine left no sound there.
        """
        path.unlink(missing_ok=True)
        self._words.clear()
        self._written.clear()
        self._engine.setProperty("voice", voice.key)
        self._engine.setProperty("rate", rate_wpm)
        if self._driver_name == "espeak":
            self._tune(melody)
        self._engine.save_to_file(plain(text), str(path))
        self._engine.runAndWait()
        if self._driver_name == "espeak":
            # No time limit here: whoever waits for this process has one, and ends it.
            self._written.wait()
        if not path.is_file() or path.stat().st_size <= 44:
            raise OSError("the speech engine wrote no sound")
        return list(self._words) if self._driver_name == "espeak" else None

    def _tune(self, melody: Melody) -> None:
        from pyttsx3.drivers import _espeak  # noqa: PLC0415

        pitch = round(PITCH + PITCH_OF_A_SEMITONE * melody.semitones)
        self._engine.setProperty("pitch", min(max(pitch, 0), _HIGHEST))
        _espeak.SetParameter(_espeak.RANGE, min(round(RANGE * melody.lively), _HIGHEST), 0)

    def _listen_to_espeak(self) -> None:
        """Stand between the library and pyttsx3 to learn when a word sounds and when the file is closed."""
        from pyttsx3.drivers import _espeak  # noqa: PLC0415

        driver = self._engine.proxy._driver
        driver.stop = lambda: None  # see above: it would cancel what was just set
        # The driver's loop looks every 10 ms whether all is said, and sleeps once more when it is.
        sys.modules[type(driver).__module__].time = SimpleNamespace(sleep=self._written.wait)  # type: ignore[attr-defined]

        def on_synth(wav: Any, count: int, events: Any) -> int:
            ended = False
            index = 0
            while events[index].type != _espeak.EVENT_LIST_TERMINATED:
                event = events[index]
                if event.type == _espeak.EVENT_WORD:
                    self._words.append((event.audio_position / 1000.0, event.text_position - 1, event.length))
                ended = ended or event.type == _espeak.EVENT_MSG_TERMINATED
                index += 1
            try:
                driver._onSynth(wav, count, events)
            except Exception:
                # Nothing above a C callback could catch it; `write` sees the missing file.
                driver._speaking = False
                driver.endLoop()
            if ended:
                self._written.set()
            return 0

        _espeak.SetSynthCallback(on_synth)


def equalised(samples: NDArray[np.float32], rate: int) -> NDArray[np.float32]:
    """Return speech of the bundled engine, shape (n,), less of a boom, with more body and clearer consonants.

    Below 250 Hz, where a hall rings longest and few sounds of speech are told apart, 7 dB less; about 800 Hz
    4 dB and about 3 kHz 2 dB more. A low cut and some presence are common practice, no source; how much lies
    between what `benchmarks.naturalness` and the STI of `benchmarks.intelligibility` would have.
    """
    if not samples.size:
        return samples
    size = spectrum_size(2 * samples.size)
    hertz = np.maximum(np.fft.rfftfreq(size, 1.0 / rate), 1.0)
    gain_db = _LOW_DB / (1.0 + (hertz / _LOW_HZ) ** 4)
    for middle_hz, octaves, louder_db in _BELLS:
        gain_db += louder_db * np.exp(-((np.log2(hertz / middle_hz) / octaves) ** 2))
    spectrum = np.fft.rfft(samples, size) * 10.0 ** (gain_db / 20.0)
    return np.fft.irfft(spectrum, size)[: samples.size].astype(np.float32)


def heard(samples: NDArray[np.float32], over_db: float = _HEARD_DB) -> tuple[int, int]:
    """Return the first and the last sample that is so loud against the loudest; noughts for silence."""
    magnitude = np.abs(samples)
    loud = np.flatnonzero(magnitude > magnitude.max(initial=0.0) * 10.0 ** (over_db / 20.0))
    return (int(loud[0]), int(loud[-1])) if loud.size else (0, 0)


def heard_s(samples: NDArray[np.float32], rate_hz: int) -> float:
    """Return the seconds from the first to the last sound."""
    first, last = heard(samples)
    return (last - first) / rate_hz


def plain(text: str) -> str:
    """Return `text` with markup, control characters and lone surrogates made harmless, one for one."""
    text = text.encode("utf-8", "replace").decode()
    return _MARKUP.sub(lambda found: " " * len(found.group()), text)


def _lend_bundled_library() -> None:
    """Make pyttsx3's driver use the pip-installed library.

    Both are needed before the driver is imported: without the data path the library ends the process;
    without the library in hand the driver looks only where systems keep theirs.
    """
    import espeakng_loader  # noqa: PLC0415

    os.environ["ESPEAK_DATA_PATH"] = espeakng_loader.get_data_path()
    library = ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_GLOBAL)
    loader = ctypes.cdll
    loader.LoadLibrary = lambda _name: library  # type: ignore[method-assign, assignment]
    try:
        importlib.import_module("pyttsx3.drivers._espeak")
    finally:
        del loader.LoadLibrary


def _voice_name(voice: Any) -> VoiceName:
    tags = (str(tag).replace("_", "-").lower() for tag in voice.languages or () if tag)
    return VoiceName(key=str(voice.id), label=str(voice.name), languages=tuple(tags))


def _distance(voice: VoiceName, tag: str) -> tuple[int, int]:
    """Return how far a voice is from a language tag: the dialect meant, the tag itself, then the plainest."""
    best = _dialect(tag)
    near = 0 if best in voice.languages else 1 if tag in voice.languages else 2
    return near, min((len(known) for known in voice.languages), default=99)


def _dialect(tag: str) -> str:
    """Return which of the bundled engine's dialects a language tag means; other tags name theirs."""
    spoken = (code for code in CODES if f"{code.lower()}-".startswith(f"{tag}-"))
    code = next(spoken, None)
    return tag if code is None else str(table(code, "language")["voice"])

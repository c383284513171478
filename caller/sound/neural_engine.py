"""The neural voice of the extra `voice`: a small model that lies inside its package, for the worker alone.

What the package does not say aloud, and this module knows:

- Its other voices are downloaded at first use: only the model that came with it is ever handed over.
- The runtime under it sends reports to its maker from version 1.29 on, unless a variable of the environment
  forbids it before it is loaded; then it makes no number for this computer either (its Privacy.md).
- How long each sound lasts is computed inside the model and not given out. A protobuf message may be written
  in two parts that add up (Protocol Buffers, "Last One Wins": embedded messages are merged), so a few bytes
  after the model name that value as one more output. A model that has no such value is used as it is.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Iterator
from importlib.metadata import version
from pathlib import Path
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from caller.sound.speech import estimate_s
from caller.sound.voice_engine import NoVoiceError, Utterance, VoiceName, WordTime, plain

_VOICE: Final = VoiceName(key="heart", label="English (America), neural", languages=("en-us",))
_LENGTHS: Final = "/Clip_output_0"
_PADS: Final = 1  # the model wants one silent sound before a sentence, and one after
_USUAL_SPEED: Final = 0.66 / 120.0  # of the model, for one word a minute: what most lines come to
_SLOWEST, _FASTEST = 0.4, 2.0
_NEAR: Final = 0.08
_TRIES: Final = 5
_HEARD_DB, _ONSET_DB = -50.0, -30.0
_HOP_S: Final = 0.005
_STEP_S: Final = 0.025  # sounds last whole steps, so a line's length moves in jumps of up to a sixth
_RUN_UP_S: Final = 0.076
"""Each word is heard this long, at the model's own speed, before the moment that its lengths add up to: the
median against a forced alignment of 20 lines at three speeds, and what `benchmarks.voices` is left with."""

_Sentence: TypeAlias = list[tuple[list[int], int, int]]
"""Each word: the model's numbers for its sounds, its first character (-1 where it has none), its length."""


class NeuralEngine:
    """The neural voice, opened; the same face as the other engines.

    Raises
    ------
    ImportError
        The extra is not installed.
    """

    def __init__(self) -> None:
        os.environ["ORT_DISABLE_TELEMETRY"] = "1"  # first of all: see above
        import hibari.tts as library  # noqa: PLC0415 - an extra, and a second's work to load
        import onnxruntime  # noqa: PLC0415

        onnxruntime.disable_telemetry_events()
        self._library = library
        self.voices = (_VOICE,)
        model = (Path(library.ASSETS) / "hibari.onnx").read_bytes()
        try:
            self._model: Any = library.Hibari(model=model + _as_output(_LENGTHS))
        except Exception:  # whatever the runtime raises for a model of another make
            self._model = library.Hibari(model=model)
        self._outputs = [each.name for each in self._model.sess.get_outputs()]

    @property
    def identity(self) -> str:
        """Name and version of what makes the sound, and how its words are timed: a clip keeps both."""
        made = f"neural, hibari-tts {version('hibari-tts')}, onnxruntime {version('onnxruntime')}"
        return f"{made}, words {_RUN_UP_S:g} s ahead"

    def speaking(self, language: str) -> list[VoiceName]:
        """Return the voices of a language, in its own dialect only."""
        return [voice for voice in self.voices if language.lower() in voice.languages]

    def choose(self, language: str, name: str | None = None) -> VoiceName:
        """Return the voice for a language tag.

        Raises
        ------
        NoVoiceError
            It does not speak the language, or another voice is asked for by name.
        """
        wanted = (name or "").strip().casefold()
        for voice in self.speaking(language):
            if wanted in voice.label.casefold() or wanted in voice.key:
                return voice
        raise NoVoiceError(f"no neural voice speaks “{language}”" + (f" as “{name}”" if wanted else ""))

    def say(self, text: str, _path: Path, *, voice: VoiceName, rate_wpm: int) -> Utterance:
        """Speak `text`, as long as it is asked to last; see `caller.sound.speech.estimate_s`.

        Raises
        ------
        OSError
            There was nothing that it could say.
        """
        del voice  # there is one
        text = plain(text)
        asked_s = estimate_s(text, rate_wpm)
        sentences = list(self._sentences(text))
        low, high = _SLOWEST, _FASTEST
        speed = min(max(rate_wpm * _USUAL_SPEED, low), high)
        best_off = math.inf
        for _ in range(_TRIES):
            tried = self._spoken(sentences, speed)
            ratio = _heard_s(tried[0], self._library.SAMPLE_RATE) / asked_s
            if abs(ratio - 1.0) < best_off:
                best_off, (samples, words) = abs(ratio - 1.0), tried
            if best_off <= _NEAR or not ratio:
                break
            # A jump may lie between too long and too short: then both are come to, and the nearer is kept.
            low, high = (speed, high) if ratio > 1.0 else (low, speed)
            wanted = speed * ratio
            speed = wanted if low < wanted < high else math.sqrt(low * high)
        if best_off >= 1.0:
            raise OSError("the speech engine wrote no sound")
        rate: int = self._library.SAMPLE_RATE
        if words is not None:
            words = _settled(words, samples, rate, reach_s=1.5 * _STEP_S)
        return Utterance(samples=samples, rate=rate, words=words)

    def _sentences(self, text: str) -> Iterator[_Sentence]:
        """Yield each sentence as its words."""
        from hibari.g2p.normalize import normalize  # noqa: PLC0415

        g2p, vocabulary = self._model.g2p, self._model.vocab
        at = 0
        for sentence in self._model.split_sentences(text):
            said: _Sentence = []
            count = 0
            for token in g2p.phonemize_tokens(g2p.tokenize(normalize(sentence))):
                sounds = (token.phonemes or "") + (" " if token.whitespace else "")
                numbers = [vocabulary[sound] for sound in sounds if sound in vocabulary]
                first = text.find(token.text, at) if any(map(str.isalnum, token.text)) else -1
                if first >= 0:
                    at = first + len(token.text)
                if count and count + len(numbers) > self._library.MAX_PHONEMES:
                    yield said
                    said, count = [], 0
                said.append((numbers, first, len(token.text)))
                count += len(numbers)
            if count:
                yield said

    def _spoken(
        self, sentences: list[_Sentence], speed: float
    ) -> tuple[NDArray[np.float32], tuple[WordTime, ...] | None]:
        """Return the sentences one after another, and when each word begins, if the model tells."""
        from hibari import dsp  # noqa: PLC0415

        pieces: list[NDArray[np.float32]] = [np.zeros(0, np.float32)]
        words: list[WordTime] = []
        before = 0
        for sentence in sentences:
            fed = {"ids": [_numbers(sentence)], "speed": np.asarray([speed], np.float32)}
            given = dict(zip(self._outputs, self._model.sess.run(None, fed), strict=True))
            lengths = given.pop(_LENGTHS, None)
            # The faint noise in a voice is drawn by chance; the same sentence is to be the same clip.
            made = dsp.synth(*(value[0] for value in given.values()), np.random.default_rng(0))
            if lengths is not None:
                ends = np.concatenate([[0.0], np.cumsum(lengths.ravel())])
                seconds = (ends / ends[-1] * made.size + before) / self._library.SAMPLE_RATE
                seconds = np.maximum(seconds - _RUN_UP_S / speed, before / self._library.SAMPLE_RATE)
                # The first sound needs no reckoning: where it is heard is where a word begins.
                seconds[_PADS] = (before + _heard(made, _ONSET_DB)[0]) / self._library.SAMPLE_RATE
                index = _PADS
                for each, first, length in sentence:
                    if first >= 0 and each:
                        words.append((float(seconds[index]), first, length))
                    index += len(each)
            pieces.append(made)
            before += made.size
        return np.concatenate(pieces), tuple(words) if _LENGTHS in self._outputs else None


def _numbers(sentence: _Sentence) -> list[int]:
    """Return the model's numbers for a whole sentence."""
    return [*[0] * _PADS, *(number for numbers, _, _ in sentence for number in numbers), *[0] * _PADS]


def _settled(
    words: Iterable[WordTime], samples: NDArray[np.float32], rate: int, *, reach_s: float
) -> tuple[WordTime, ...]:
    """Return the words, each moved to the quietest moment within `reach_s`: a cut there takes no sound."""
    loud_db, hop = _loudness_db(samples, rate)
    reach = round(reach_s * rate / hop)
    moved: list[WordTime] = []
    earliest = 0
    for second, first, length in words:
        at = round(second * rate / hop)
        low, high = max(earliest, at - reach), min(at + reach + 1, loud_db.size)
        if low < high:
            # The last of the quiet frames: the word begins after it.
            near = loud_db[low:high]
            at = low + int(np.flatnonzero(near <= near.min() + 3.0)[-1])
            second = at * hop / rate
        moved.append((max(second, earliest * hop / rate), first, length))
        earliest = max(earliest, at)
    return tuple(moved)


def _loudness_db(samples: NDArray[np.float32], rate: int) -> tuple[NDArray[np.float64], int]:
    """Return the level of each short frame against the loudest, and the samples of a frame."""
    hop = max(1, round(_HOP_S * rate))
    count = samples.size // hop
    if not count:
        return np.full(0, -np.inf), hop
    power = (samples[: count * hop].astype(np.float64).reshape(count, hop) ** 2).mean(axis=1)
    return 10.0 * np.log10(np.maximum(power, 1e-12) / max(float(power.max()), 1e-12)), hop


def _heard_s(samples: NDArray[np.float32], rate: int) -> float:
    """Return the seconds from the first to the last sound."""
    first, last = _heard(samples, _HEARD_DB)
    return (last - first) / rate


def _heard(samples: NDArray[np.float32], over_db: float) -> tuple[int, int]:
    """Return the first and the last sample that is so loud against the loudest; noughts for silence."""
    magnitude = np.abs(samples)
    heard = np.flatnonzero(magnitude > magnitude.max(initial=0.0) * 10.0 ** (over_db / 20.0))
    return (int(heard[0]), int(heard[-1])) if heard.size else (0, 0)


def _as_output(name: str) -> bytes:
    """Return the bytes that make a value of an ONNX model one of its outputs, to be put after the model.

    ModelProto.graph is field 7, GraphProto.output field 12, ValueInfoProto.name field 1 (onnx.proto).
    """
    content = name.encode()
    for field in (1, 12, 7):
        content = bytes([field << 3 | 2, len(content)]) + content
    return content

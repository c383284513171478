"""What neural voices have in common: sounds in, samples and lengths out, and a pace of their own to be tamed.

A model takes the numbers of a sentence's sounds and a speed, and gives samples and how long each sound lasts.
Here a line is said as long as it is asked to last, and told when each of its words begins. What the speed
cannot do, since sounds last whole steps, is done to the samples: little enough not to be heard.

How long each sound lasts is computed inside the models and not given out. A protobuf message may be written
in two parts that add up (Protocol Buffers, "Last One Wins": embedded messages are merged), so a few bytes
after the model name that value as one more output. A model that has no such value is used as it is.
"""

from __future__ import annotations

import math
import os
from abc import ABC, abstractmethod
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, ClassVar, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from caller.sound import PLAINLY, Melody
from caller.sound.speech import estimate_s
from caller.sound.voice_engine import NoVoiceError, Utterance, VoiceName, WordTime, heard, heard_s, plain

MODEL_RATE: Final = 24_000
"""Samples a second of these models."""

_PADS: Final = 1  # a model wants one silent sound before a sentence, and one after
_SLOWEST, _FASTEST = 0.4, 2.0
_NEAR: Final = 0.10  # what is left of it is not heard in the samples, and saves half of the tries
_ONSET_DB: Final = -30.0
_HOP_S: Final = 0.005
_STEP_S: Final = 0.025  # sounds last whole steps, so a line's length moves in jumps of up to a sixth
_LEFT: Final = 0.04  # so far from its length a line is left as the model said it
_FRAME_S, _REACH_S = 0.030, 0.008
"""What is laid over itself to change a line's length: two periods of a low voice, and one to either side."""
_LESS: Final = 0.5  # of a tune: what these voices are made higher by makes them sound smaller, too
_STEP_HZ: Final = 240  # whole ratios to the rate of the timeline
STRETCHED: Final = "fitted"
"""Part of the identity of a voice of which lines are brought to their length so."""

Sentence: TypeAlias = list[tuple[list[int], int, int]]
"""Each word: the model's numbers for its sounds, its first character (-1 where it has none), its length."""


class PacedEngine(ABC):
    """The face that neural engines share with the others; what is theirs alone stands in each."""

    voices: ClassVar[tuple[VoiceName, ...]]
    natural_s: ClassVar[tuple[float, float, float]]
    """What a sound, a stop between sentences and a line's ends last, times the speed: fitted to 80 to 240
    lines of ready lessons, as slowly as they are said; four of five within 10 %. Only a line's first try goes
    by it."""
    run_up_s: ClassVar[float]
    """Each word is heard this long, at the model's own speed, before the moment that its lengths add up to:
    the median against a forced alignment of 20 lines, and what `benchmarks.voices` is left with."""
    tries: ClassVar[int]
    """How often a line is said at most, to come to its length."""

    @property
    @abstractmethod
    def identity(self) -> str:
        """Name and version of what makes the sound, and how its words are timed: a clip keeps both."""

    @abstractmethod
    def sentences(self, text: str, voice: VoiceName) -> Iterator[Sentence]:
        """Yield each sentence of `text` as its words."""

    @abstractmethod
    def made(
        self, sounds: list[int], speed: float, voice: VoiceName
    ) -> tuple[NDArray[np.float32], NDArray[np.float32] | None]:
        """Return the samples of a sentence, and in any unit how long each sound lasts, if the model tells."""

    @classmethod
    def speaking(cls, language: str) -> list[VoiceName]:
        """Return the voices of a language, in its own dialect only where the voice is of one."""
        tag = language.lower()
        return [v for v in cls.voices if any(f"{tag}-".startswith(f"{own}-") for own in v.languages)]

    @classmethod
    def choose(cls, language: str, name: str | None = None) -> VoiceName:
        """Return the voice for a language tag.

        Raises
        ------
        NoVoiceError
            It does not speak the language, or another voice is asked for by name.
        """
        wanted = (name or "").strip().casefold()
        for voice in cls.speaking(language):
            if wanted in voice.label.casefold() or wanted in voice.key:
                return voice
        raise NoVoiceError(f"no neural voice speaks “{language}”" + (f" as “{name}”" if wanted else ""))

    def say(
        self, text: str, _path: Path, *, voice: VoiceName, rate_wpm: int, melody: Melody = PLAINLY
    ) -> Utterance:
        """Speak `text`, as long as it is asked to last; see `caller.sound.speech.estimate_s`.

        How high is told by the rate of its samples: said slower, and played faster.

        Raises
        ------
        OSError
            There was nothing that it could say.
        """
        text = plain(text)
        rate = _STEP_HZ * round(MODEL_RATE / _STEP_HZ * 2.0 ** (_LESS * melody.semitones / 12.0))
        higher = rate / MODEL_RATE
        asked_s = estimate_s(text, rate_wpm) * higher
        sentences = list(self.sentences(text, voice))
        low, high = _SLOWEST, _FASTEST
        sound_s, stop_s, around_s = self.natural_s
        sounds = sum(len(numbers) for sentence in sentences for numbers, _, _ in sentence)
        natural_s = sound_s * sounds + stop_s * (len(sentences) - 1) + around_s
        speed = min(max(natural_s / asked_s, low), high)
        best_off, best = math.inf, 1.0
        for _ in range(self.tries):
            tried = self._spoken(sentences, speed, voice)
            ratio = heard_s(tried[0], MODEL_RATE) / asked_s
            if abs(ratio - 1.0) < best_off:
                best_off, best, (samples, words) = abs(ratio - 1.0), ratio, tried
            if best_off <= _NEAR or not ratio:
                break
            # A jump may lie between too long and too short: then both are come to, and the nearer is kept.
            low, high = (speed, high) if ratio > 1.0 else (low, speed)
            wanted = speed * ratio
            speed = wanted if low < wanted < high else math.sqrt(low * high)
        if best_off >= 1.0:
            raise OSError("the speech engine wrote no sound")
        if words is not None:
            words = _settled(words, samples, reach_s=1.5 * _STEP_S)
        if best_off > _LEFT:
            samples = stretched(samples, 1.0 / best)
            words = None if words is None else tuple((at_s / best, at, length) for at_s, at, length in words)
        words = None if words is None else tuple((at_s / higher, at, length) for at_s, at, length in words)
        return Utterance(samples=samples, rate=rate, words=words)

    def _spoken(
        self, sentences: list[Sentence], speed: float, voice: VoiceName
    ) -> tuple[NDArray[np.float32], tuple[WordTime, ...] | None]:
        """Return the sentences one after another, and when each word begins, if the model tells."""
        pieces: list[NDArray[np.float32]] = [np.zeros(0, np.float32)]
        words: list[WordTime] | None = []
        before = 0
        for sentence in sentences:
            samples, lengths = self.made(_numbers(sentence), speed, voice)
            if lengths is None or words is None:
                words = None
            else:
                ends = np.concatenate([[0.0], np.cumsum(lengths.ravel())])
                seconds = (ends / ends[-1] * samples.size + before) / MODEL_RATE
                seconds = np.maximum(seconds - self.run_up_s / speed, before / MODEL_RATE)
                # The first sound needs no reckoning: where it is heard is where a word begins.
                seconds[_PADS] = (before + heard(samples, _ONSET_DB)[0]) / MODEL_RATE
                index = _PADS
                for each, first, length in sentence:
                    if first >= 0 and each:
                        words.append((float(seconds[index]), first, length))
                    index += len(each)
            pieces.append(samples)
            before += samples.size
        return np.concatenate(pieces), None if words is None else tuple(words)


def stretched(samples: NDArray[np.float32], factor: float) -> NDArray[np.float32]:
    """Return speech `factor` times as long, shape (n,), as high as before.

    Frames are laid over each other, each taken from where it goes on most smoothly from the one before (W.
    Verhelst and M. Roelands, "An overlap-add technique based on waveform similarity", ICASSP 1993).
    """
    hop, reach = round(_FRAME_S * MODEL_RATE / 2), round(_REACH_S * MODEL_RATE)
    window = np.sin(np.pi * (np.arange(2 * hop) + 0.5) / (2 * hop)) ** 2
    length = round(samples.size * factor)
    frames = length // hop + 1
    padded = np.pad(samples.astype(np.float64), (reach + hop, 4 * hop + reach))
    out = np.zeros((frames + 1) * hop)
    at = reach
    for frame in range(frames):
        if frame:
            near = min(round((frame - 1) * hop / factor) + hop + reach, padded.size - 2 * hop - reach)
            follows = padded[at + hop : at + 3 * hop]  # what would come next in the sound itself
            around = padded[near - reach : near + reach + 2 * hop]
            at = (
                near
                - reach
                + int(np.correlate(around[: 2 * reach + follows.size], follows, "valid").argmax())
            )
        out[frame * hop : (frame + 2) * hop] += window * padded[at : at + 2 * hop]
    return out[hop : hop + length].astype(np.float32)


def quiet_runtime() -> Any:
    """Return the runtime of the models, told to report nothing to its maker.

    It sends reports from version 1.29 on, unless a variable of the environment forbids it before it is
    loaded; then it makes no number for this computer either (its Privacy.md).
    """
    os.environ["ORT_DISABLE_TELEMETRY"] = "1"
    import onnxruntime  # noqa: PLC0415 - an extra, and a second's work to load

    onnxruntime.disable_telemetry_events()
    return onnxruntime


def as_output(name: str) -> bytes:
    """Return the bytes that make a value of an ONNX model one of its outputs, to be put after the model.

    ModelProto.graph is field 7, GraphProto.output field 12, ValueInfoProto.name field 1 (onnx.proto).
    """
    content = name.encode()
    for field in (1, 12, 7):
        content = bytes([field << 3 | 2, len(content)]) + content
    return content


def _numbers(sentence: Sentence) -> list[int]:
    """Return the model's numbers for a whole sentence."""
    return [*[0] * _PADS, *(number for numbers, _, _ in sentence for number in numbers), *[0] * _PADS]


def _settled(
    words: Iterable[WordTime], samples: NDArray[np.float32], *, reach_s: float
) -> tuple[WordTime, ...]:
    """Return the words, each moved to the quietest moment within `reach_s`: a cut there takes no sound."""
    loud_db, hop = _loudness_db(samples)
    reach = round(reach_s * MODEL_RATE / hop)
    moved: list[WordTime] = []
    earliest = 0
    for second, first, length in words:
        at = round(second * MODEL_RATE / hop)
        low, high = max(earliest, at - reach), min(at + reach + 1, loud_db.size)
        if low < high:
            # The last of the quiet frames: the word begins after it.
            near = loud_db[low:high]
            at = low + int(np.flatnonzero(near <= near.min() + 3.0)[-1])
            second = at * hop / MODEL_RATE
        moved.append((max(second, earliest * hop / MODEL_RATE), first, length))
        earliest = max(earliest, at)
    return tuple(moved)


def _loudness_db(samples: NDArray[np.float32]) -> tuple[NDArray[np.float64], int]:
    """Return the level of each short frame against the loudest, and the samples of a frame."""
    hop = round(_HOP_S * MODEL_RATE)
    count = samples.size // hop
    if not count:
        return np.full(0, -np.inf), hop
    power = (samples[: count * hop].astype(np.float64).reshape(count, hop) ** 2).mean(axis=1)
    return 10.0 * np.log10(np.maximum(power, 1e-12) / max(float(power.max()), 1e-12)), hop

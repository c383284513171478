"""A bed of drum and bass that carries a move, made here like the tones: no file, no known tune.

What it is made of, and why:

- A drum on every beat, so that the step falls on something; bass and off-beats, because children dance more,
  and nearer the tempo, to music with them than to clicks (Kragness et al. 2022, abstract).
- Next to nothing between 400 and 3000 Hz: there the beeps and the tones have their say.
- Notes of a scale of five, drawn by the pattern's number: every order of them sounds right, none is a tune.
- No words: they distract where thinking is asked (Barney and Prusak 2015, abstract).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import ceil
from random import Random
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from caller.sound import BEAT_CEILING_DBTP, BEAT_LUFS, SAMPLE_RATE, background_gain, to_gain
from caller.sound.audiofile import to_sample_rate
from caller.sound.loudness import clip_loudness_db, limit_true_peak, loudest_rms_db, true_peak_db
from caller.sound.speech import frozen
from caller.sound.tone_recipes import ramped
from caller.sound.tones import Tone

Mood = Literal["lively", "calm"]

BAR: Final = 4
"""Beats in a bar."""
_PHRASE: Final = 4 * BAR
_ROOT_HZ: Final = 82.41  # E2: an octave lower is lost on small loudspeakers
_SCALE: Final = (0, 3, 5, 7, 10)  # semitones of the minor scale of five notes
_STOP_S: Final = 0.08
_FADE_S: Final = 0.06
_ROUNDING_DB: Final = 1e-4  # far over what rounding a sample to 24 bits can add
_CLOSED_UP_S: Final = (
    2.5  # a shorter silence between words stays quiet: a beat that swells and sinks distracts
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bed:
    """A beat of some length, ready to be mixed.

    Attributes
    ----------
    samples : ndarray of float32, shape (n,)
        Mono at `SAMPLE_RATE`, at its level, its first beat on the first sample.  Read-only.
    onsets : tuple of int
        The sample of each beat.
    level_db : float
        Loudness of its loudest 200 ms.
    peak : float
        Its true peak (1.0 is full scale).
    """

    samples: NDArray[np.float32]
    onsets: tuple[int, ...]
    level_db: float
    peak: float

    def around(self, spoken: Sequence[tuple[int, int]]) -> Iterator[tuple[int, Stretch]]:
        """Yield the bed in stretches, each with its first sample: those under speech stay 20 dB below it.

        `spoken` are the stretches of speech, from sample to sample of the bed. A beat has faded before a
        word begins and comes back after it.
        """
        gain = background_gain(self.level_db, self.peak)
        quiet = _closed_up(spoken, self.samples.size)
        fade = round(_FADE_S * SAMPLE_RATE)
        faded = [(max(begin - fade, 0), min(end + fade, self.samples.size)) for begin, end in quiet]
        edges = sorted({0, self.samples.size, *(edge for stretch in quiet + faded for edge in stretch)})
        for first, last in pairwise(edges):
            share = gain if any(begin <= first < end for begin, end in quiet) else 1.0
            samples = self.samples[first:last]
            if any(begin <= first < end for begin, end in faded):
                samples = frozen((samples * _ducked(first, last, quiet, gain)).astype(np.float32))
            yield first, Stretch(samples=samples, peak=self.peak * share)  # most of it: a view, not a copy


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretch:
    """A part of a bed, ready to be mixed: its samples, and the true peak that they stay under."""

    samples: NDArray[np.float32]
    peak: float


def beat_onsets(bpm: float, length: int) -> tuple[int, ...]:
    """Return the sample of every beat within `length` samples, each rounded by itself: no drift."""
    period = 60.0 * SAMPLE_RATE / bpm
    return tuple(round(beat * period) for beat in range(ceil(length / period)))


@lru_cache(maxsize=2)
def bed(*, bpm: float, length: int, mood: Mood = "lively", pattern: int = 0, own: Tone | None = None) -> Bed:
    """Return a beat of `length` samples, the same for the same arguments.

    Parameters
    ----------
    bpm
        Beats a minute.
    mood
        Lively has a drum on every beat; calm is soft and has long notes.
    pattern
        Which one; every number gives one, and the same one each time.
    own
        A loop with a tempo to play instead, a little faster or slower as `bpm` needs.
    """
    onsets = beat_onsets(bpm, length)
    if own is None or own.bpm is None:
        sound, target_lufs = _composed(bpm, length, mood, pattern), BEAT_LUFS
    else:
        sound, target_lufs = _looped(own.samples, own.bpm, bpm, length), own.level_db
    stop = min(round(_STOP_S * SAMPLE_RATE), length)
    sound[length - stop :] *= (0.5 + 0.5 * np.cos(np.pi * np.arange(stop) / max(stop, 1))).astype(np.float32)
    sound *= np.float32(to_gain(target_lufs - clip_loudness_db(sound)))
    samples = sound
    peak_db = true_peak_db(samples)
    if peak_db > BEAT_CEILING_DBTP:
        samples, peak_db = limit_true_peak(samples, ceiling_dbtp=BEAT_CEILING_DBTP), BEAT_CEILING_DBTP
    return Bed(
        samples=frozen(samples),
        onsets=onsets,
        level_db=loudest_rms_db(samples),
        peak=to_gain(peak_db + _ROUNDING_DB),
    )


def _composed(bpm: float, length: int, mood: Mood, pattern: int) -> NDArray[np.float32]:
    period = 60.0 * SAMPLE_RATE / bpm
    phrase = list(_phrase(mood, pattern, period))
    sound = np.zeros(length, np.float32)
    for number in range(ceil(length / (period * _PHRASE))):
        for at_beats, gain, hit in phrase:
            start = round((number * _PHRASE + at_beats) * period)
            part = hit[: max(0, length - start)]
            sound[start : start + part.size] += np.float32(gain) * part
    return sound


def _phrase(mood: Mood, pattern: int, period: float) -> Iterator[tuple[float, float, NDArray[np.float32]]]:
    """Yield four bars: where in beats, how strong, and what sounds."""
    random = Random(2 * pattern + (mood == "calm"))
    degrees = [0, *random.choices(range(len(_SCALE)), k=2), 0]
    # Eighths of a bar on which the bass plays besides the first.
    eighths = sorted(random.sample(range(2, 8), k=2 if mood == "calm" else 4))
    open_hats = set(random.sample(range(BAR), k=2))
    for beat in range(_PHRASE):
        bar, place = divmod(beat, BAR)
        strong = 1.0 if place == 0 else 0.9
        if mood == "calm":
            yield beat, 0.75 * strong, _drum(70.0, 0.16)
            if place in (1, 3):
                yield beat, 0.16, _brush(0.12)
        else:
            yield beat, strong, _drum(62.0, 0.11)
            if place in (1, 3):
                yield beat, 0.42, _clap()
            yield beat + 0.5, 0.24, _brush(0.11 if place in open_hats else 0.045)
        if beat % BAR == 0:
            root = _SCALE[degrees[bar]]
            starts = [0, *eighths]
            for n, eighth in enumerate(starts):
                until = starts[n + 1] if n + 1 < len(starts) else 8
                interval = root if n == 0 else root + random.choice(_SCALE)
                note_s = min((until - eighth) / 2.0, 2.0) * period / SAMPLE_RATE * 0.92
                loud = 0.5 if mood == "calm" else 0.6
                yield beat + eighth / 2.0, loud, _bass(interval % 12, round(note_s, 3), mood)


@lru_cache(maxsize=8)
def _drum(low_hz: float, half_life_s: float) -> NDArray[np.float32]:
    """Return a drum: a tone that falls to `low_hz`, and the touch of the stick at its very start."""
    time_s = np.arange(round(5 * half_life_s * SAMPLE_RATE)) / SAMPLE_RATE
    hertz = low_hz * (1.0 + 2.2 * np.exp(-time_s / 0.028))
    body = np.sin(2.0 * np.pi * np.cumsum(hertz) / SAMPLE_RATE) * 0.5 ** (time_s / half_life_s)
    touch = _noise_between(3_500.0, 9_000.0, 0.012, seed=7) * 0.5
    body[: touch.size] += touch
    return ramped(body, 0.001).astype(np.float32)


@lru_cache(maxsize=2)
def _clap() -> NDArray[np.float32]:
    return _dying(_noise_between(3_200.0, 8_000.0, 0.16, seed=11), 0.030)


@lru_cache(maxsize=4)
def _brush(length_s: float) -> NDArray[np.float32]:
    return _dying(_noise_between(6_500.0, 13_000.0, length_s, seed=13), length_s / 3.0)


@lru_cache(maxsize=64)
def _bass(semitones: int, note_s: float, mood: Mood) -> NDArray[np.float32]:
    """Return one note: a few harmonics, the higher the weaker, so that small loudspeakers tell it too."""
    time_s = np.arange(max(round(note_s * SAMPLE_RATE), 64)) / SAMPLE_RATE
    base_hz = _ROOT_HZ * 2.0 ** (semitones / 12.0)
    levels_db = (0.0, -8.0, -16.0) if mood == "calm" else (0.0, -6.0, -13.0)
    sound = np.zeros_like(time_s)
    for number, level_db in enumerate(levels_db, 1):
        sound += to_gain(level_db) * np.sin(2.0 * np.pi * number * base_hz * time_s)
    sound *= 0.5 ** (time_s / (0.5 if mood == "calm" else 0.22))
    return ramped(sound, 0.006).astype(np.float32)


def _dying(noise: NDArray[np.float64], half_life_s: float) -> NDArray[np.float32]:
    time_s = np.arange(noise.size) / SAMPLE_RATE
    return ramped(noise * 0.5 ** (time_s / half_life_s), 0.001).astype(np.float32)


def _noise_between(low_hz: float, high_hz: float, length_s: float, *, seed: int) -> NDArray[np.float64]:
    """Return noise between two frequencies, its highest sample 1, the same each time."""
    count = round(length_s * SAMPLE_RATE)
    hertz = np.fft.rfftfreq(count, 1.0 / SAMPLE_RATE)
    random = Random(seed)  # the same in every version, and 3 MB less to load than numpy's
    phases = 2.0 * np.pi * np.array([random.random() for _ in hertz])
    inside = (hertz >= low_hz) & (hertz <= high_hz)
    noise = np.fft.irfft(inside * np.exp(1j * phases), count)
    return np.asarray(noise / max(np.abs(noise).max(), 1e-12))


def _looped(loop: NDArray[np.float32], own_bpm: float, bpm: float, length: int) -> NDArray[np.float32]:
    """Return a loop played over and over at the nearest of half, once or twice its tempo."""
    tempo = min((own_bpm / 2, own_bpm, own_bpm * 2), key=lambda each: abs(float(np.log(bpm / each))))
    played = to_sample_rate(loop, round(SAMPLE_RATE * bpm / tempo))
    period = 60.0 * SAMPLE_RATE / bpm
    beats = max(1, round(played.size / period))
    sound = np.zeros(length, np.float32)
    for turn in range(ceil(length / (beats * period))):
        start = round(turn * beats * period)
        part = played[: min(length - start, round((turn + 1) * beats * period) - start)]
        sound[start : start + part.size] += part
    return sound


def _ducked(first: int, last: int, quiet: Sequence[tuple[int, int]], gain: float) -> NDArray[np.float64]:
    """Return the curve that is at `gain` in each quiet stretch, and has come to it when one begins."""
    at = np.arange(first, last)
    away = np.min([np.maximum(np.maximum(begin - at, at - end + 1), 0) for begin, end in quiet], axis=0)
    share = np.minimum(away / round(_FADE_S * SAMPLE_RATE), 1.0)
    return np.asarray(gain + (1.0 - gain) * (0.5 - 0.5 * np.cos(np.pi * share)))


def _closed_up(spoken: Sequence[tuple[int, int]], length: int) -> list[tuple[int, int]]:
    """Return the stretches inside a length, those that follow one another closely made one."""
    closed: list[tuple[int, int]] = []
    for begin, end in sorted(spoken):
        first, last = max(begin, 0), min(end, length)
        if first >= last:
            continue
        if closed and first - closed[-1][1] < _CLOSED_UP_S * SAMPLE_RATE:
            closed[-1] = (closed[-1][0], max(closed[-1][1], last))
        else:
            closed.append((first, last))
    return closed

"""A spoken sentence: what decides how it sounds, and from what an engine wrote to a clip that can be
mixed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, NamedTuple
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from caller.languages import Tune
from caller.sound import MELODIES, SAMPLE_RATE, VOICE_CEILING_DBTP, VOICE_LUFS, to_gain
from caller.sound.audiofile import to_sample_rate
from caller.sound.loudness import match_loudness
from caller.sound.tone_recipes import ramped

LONGEST_TEXT: Final = 1_000
"""Characters in one sentence; a longer one is not spoken."""

SLOWEST_WPM, FASTEST_WPM = 60, 300

ENGINES: Final = ("neural", "large", "system", "bundled")
"""Tried in this order: the extra's two, the one of the operating system, the one that pip always installs."""

ENGINES_WITHOUT_EXTRA: Final = ENGINES[2:]

LARGE: Final = "neural, large"
"""How the identity of the engine begins that may take as long to make a line as the line lasts."""

_SAID: Final = re.compile(r"\d+|[^\W\d_]+(?:['’][^\W\d_]+)?")
_STOP, _COMMA = re.compile(r"[.!?…]\s+\S"), re.compile(r"[,;:]\s+\S")
_FITTED_WPM: Final = 114.0
_S_A_LETTER, _S_A_WORD, _S_A_STOP, _S_A_COMMA, _S_AROUND = 0.071, 0.076, 0.767, 0.492, 0.218
PACED: Final = f"paced for {_FITTED_WPM:g}"
"""Part of the identity of whatever keeps this pace: clips of another pace are not taken for its own."""

TUNED: Final = f"tunes {crc32(repr(sorted(MELODIES.items())).encode()):08x}"
"""Part of the identity of every engine, as `PACED`: a clip keeps how it was said."""

_LETTERS_OF_A_DIGIT: Final = 4.0  # "zero" to "nine" have 4.0 on average


@dataclass(frozen=True, slots=True, kw_only=True)
class VoiceSettings:
    """Who speaks, and how fast.

    Attributes
    ----------
    language : str
        BCP 47 tag, such as ``en-GB`` or ``fr``.
    rate_wpm : int
        Words per minute, 60 to 300.
    name : str or None
        Part of the name of a voice of this machine, or None for the language's best.
    tune : Tune
        What the sentence is for; as far as the engine can, it is heard.
    """

    language: str = "en-GB"
    rate_wpm: int = 120
    name: str | None = None
    tune: Tune = "tell"

    def __post_init__(self) -> None:
        if not re.fullmatch(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{1,8}){0,3}", self.language):
            raise ValueError(f"“{self.language}” is not a language; write one such as en-GB, es, fr or de")
        if not SLOWEST_WPM <= self.rate_wpm <= FASTEST_WPM:
            raise ValueError(
                f"a voice speaks {SLOWEST_WPM} to {FASTEST_WPM} words a minute, not {self.rate_wpm}"
            )


class Word(NamedTuple):
    """Where one word of a sentence sounds, for captions that follow the voice."""

    offset_s: float
    """Seconds from the first sample of the clip."""
    char_start: int
    """Index of the word's first character in the text."""
    char_len: int
    """Number of characters."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Speech:
    """One sentence as sound.

    Attributes
    ----------
    samples : ndarray of float32, shape (n,)
        Mono at `SAMPLE_RATE`, silence trimmed from both ends, at `VOICE_LUFS`.  Read-only.
    onset : int
        Index of the sample where the first sound begins (the little silence before it keeps its attack
        whole).
    words : tuple of Word or None
        In order; None where the engine does not tell.
    voice : str
        The voice that spoke.
    missing : bool
        True where the sentence could not be spoken: `samples` is then silence of about its length.
    why : str
        Why it is missing, in one sentence.
    """

    samples: NDArray[np.float32]
    onset: int = 0
    words: tuple[Word, ...] | None = None
    voice: str = ""
    missing: bool = False
    why: str = ""

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return self.samples.size / SAMPLE_RATE

    @property
    def peak(self) -> float:
        """No true peak is above this (1.0 is full scale)."""
        return to_gain(VOICE_CEILING_DBTP)


def estimate_s(text: str, rate_wpm: float) -> float:
    """Return how long `text` is to take, in seconds, whatever voice says it.

    One measure of pace for all engines: letters and words take time, and so do the stops inside the text. A
    digit counts as the letters of its word. Fitted to 700 lines of ready lessons in American English, as the
    bundled engine says them at 120 words a minute, half of them within 5 %, nine of ten within 12 %; and 5 %
    brisker than that, so that a class does not stand and wait for the last word.
    """
    words = _SAID.findall(text)
    letters = sum(_LETTERS_OF_A_DIGIT * len(word) if word.isdigit() else len(word) for word in words)
    stops, commas = len(_STOP.findall(text)), len(_COMMA.findall(text))
    said_s = _S_AROUND + _S_A_LETTER * letters + _S_A_WORD * len(words)
    return (said_s + _S_A_STOP * stops + _S_A_COMMA * commas) * _FITTED_WPM / rate_wpm


def takes_long(identity: str) -> bool:
    """Tell whether an engine takes so long that a line's length is reckoned, and not heard, for plans."""
    return identity.startswith(LARGE)


def is_sayable(text: str) -> bool:
    """Tell whether `text` has anything that a voice could say."""
    return any(character.isalnum() for character in text)


def not_spoken(text: str, settings: VoiceSettings, why: str) -> Speech:
    """Return silence in place of `text` that could not be spoken; its words stay on the screen meanwhile."""
    count = round(estimate_s(text[:LONGEST_TEXT], settings.rate_wpm) * SAMPLE_RATE)
    return Speech(samples=frozen(np.zeros(count, np.float32)), missing=True, why=why)


def frozen(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return `samples` made read-only, so that a clip can be shared."""
    samples.flags.writeable = False
    return samples


_FADE_S: Final = 0.005  # at both ends of a silence: no click, and no consonant lost


def with_gaps(speech: Speech, gaps: Iterable[tuple[int, float]]) -> Speech:
    """Return a sentence with silences in it.

    Parameters
    ----------
    gaps : iterable of (int, float)
        The letter of the text at which a word begins, and the seconds of silence before that word, in order.
        Where no word is known to begin there, or it begins the sentence, nothing is inserted.
    """
    words = {word.char_start: round(word.offset_s * SAMPLE_RATE) for word in speech.words or ()}
    size = int(speech.samples.size)
    cuts = [
        (words[letter], round(gap_s * SAMPLE_RATE))
        for letter, gap_s in gaps
        if 0 < words.get(letter, 0) < size
    ]
    if not cuts:
        return speech
    ends = [0, *(cut for cut, _ in cuts), size]
    pieces = [ramped(speech.samples[a:b].astype(np.float64), _FADE_S) for a, b in pairwise(ends)]
    # The sentence keeps its own beginning and end: only what was cut is faded.
    fade = round(_FADE_S * SAMPLE_RATE)
    pieces[0][:fade] = speech.samples[:fade][: pieces[0].size]
    pieces[-1][-fade:] = speech.samples[-fade:][-pieces[-1].size :]
    joined = [pieces[0]]
    for (_, silence), piece in zip(cuts, pieces[1:], strict=True):
        joined += [np.zeros(silence), piece]
    return replace(
        speech,
        samples=frozen(np.concatenate(joined).astype(np.float32)),
        words=tuple(_later(word, cuts) for word in speech.words or ()),
    )


def _later(word: Word, cuts: list[tuple[int, int]]) -> Word:
    """Return where a word sounds once the silences before it are in."""
    at = round(word.offset_s * SAMPLE_RATE)
    added = sum(silence for cut, silence in cuts if cut <= at)
    return word._replace(offset_s=word.offset_s + added / SAMPLE_RATE)


_SILENCE_BELOW_PEAK_DB: Final = -50.0
_KEPT_S: Final = 0.010


def finish_speech(
    raw: NDArray[np.float32], rate: int, *, words: Iterable[tuple[float, int, int]] | None, voice: str
) -> Speech:
    """Return the clip made of an engine's samples.

    Parameters
    ----------
    raw : ndarray of float32, shape (n,)
        Mono samples at `rate` hertz.
    words : iterable of (seconds, first character, length), or None
        Against the start of `raw`.

    Raises
    ------
    ValueError
        There is no sound in `raw`.
    """
    samples = to_sample_rate(raw, rate)
    magnitude = np.abs(samples)
    peak = float(magnitude.max(initial=0.0))
    if peak < 1e-4:
        raise ValueError("the speech engine wrote only silence")
    sounding = np.flatnonzero(magnitude > peak * to_gain(_SILENCE_BELOW_PEAK_DB))
    kept = round(_KEPT_S * SAMPLE_RATE)
    first, last = int(sounding[0]), int(sounding[-1])
    start, stop = max(0, first - kept), min(samples.size, last + 1 + kept)
    clip = match_loudness(samples[start:stop], target_db=VOICE_LUFS, ceiling_dbtp=VOICE_CEILING_DBTP)
    onset = first - start
    moved = None
    if words is not None:
        # An engine may place a word in the silence that was cut, never usefully after the end.
        inside = (
            (min(max(s - start / SAMPLE_RATE, 0.0), clip.size / SAMPLE_RATE), c, n) for s, c, n in words
        )
        moved = tuple(Word(*word) for word in inside)
    return Speech(samples=frozen(_faded(clip, onset, stop - last - 1)), onset=onset, words=moved, voice=voice)


def _faded(samples: NDArray[np.float32], lead: int, tail: int) -> NDArray[np.float32]:
    """Fade the kept silence in and out: a clip begins and ends at nought, its speech untouched."""
    faded = samples.copy()
    faded[:lead] *= np.linspace(0.0, 1.0, lead, endpoint=False, dtype=np.float32)
    if tail:
        faded[-tail:] *= np.linspace(1.0, 0.0, tail, dtype=np.float32)
    return faded

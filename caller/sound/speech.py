"""A spoken sentence, and what decides how it sounds."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from caller.sound.levels import SAMPLE_RATE, VOICE_CEILING_DBTP, to_gain

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
_FITTED_WPM: Final = 120.0
_S_A_LETTER, _S_A_WORD, _S_A_STOP, _S_A_COMMA, _S_AROUND = 0.071, 0.076, 0.767, 0.492, 0.218
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
    """

    language: str = "en-GB"
    rate_wpm: int = 120
    name: str | None = None

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
    bundled engine says them at 120 words a minute: half of them within 5 %, nine of ten within 12 %.
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

"""Silence between the words of a spoken sentence, so that the echo of one has gone before the next."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise
from typing import Final

import numpy as np

from caller.sound.levels import SAMPLE_RATE
from caller.sound.speech import Speech, Word, frozen
from caller.sound.tone_recipes import ramped

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

"""From what an engine wrote to a clip that can be mixed: trimmed, at the program's rate and loudness."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.sound.levels import SAMPLE_RATE, VOICE_CEILING_DBTP, VOICE_LUFS, to_gain
from caller.sound.loudness import match_loudness
from caller.sound.resampling import to_sample_rate
from caller.sound.speech import Speech, Word, frozen

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

"""How each tone is made: frequencies, harmonics and ramps.  The WAV files in `sounds/` come from here.

What a tone must be to carry in a hall, and why:

- A fundamental of 600 to 1000 Hz: lower is masked by the class and rings longest, far higher is lost to the
  air.  ISO 7731 asks for main energy between 500 and 2500 Hz (from memory).
- At least three harmonics: a pure tone is loud in one place of the hall and gone a step further (Schroeder;
  from memory).
- At least 200 ms, for its full loudness (temporal integration; from memory).
- Raised-cosine ramps of 5 to 20 ms, so that it does not click: a 200 ms tone of 1 kHz then has its energy
  above 4 kHz more than 100 dB down (computed).
- "Time's up" differs from the beeps before it in pitch (an octave up) and in length (at least 600 ms): a
  judgement.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.sound import SAMPLE_RATE

_E5, _G5, _A5, _B5 = 659.26, 783.99, 880.0, 987.77
"""Hertz; equal temperament, A4 = 440 Hz (ISO 16)."""

_BRIGHT: Final = (0.0, -4.0, -8.0, -14.0)
_WARM: Final = (0.0, -9.0, -15.0)
"""Levels in dB of the harmonics, the fundamental first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One sound of a tone."""

    fundamental_hz: float
    start_s: float = 0.0
    duration_s: float
    harmonics_db: tuple[float, ...] = _BRIGHT
    half_life_s: float | None = None
    """Time in which it dies away to half; None for a steady note."""
    ramp_s: float = 0.010


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseBand:
    """Steady noise between two frequencies, the same each time."""

    low_hz: float
    high_hz: float
    duration_s: float
    ramp_s: float = 0.020


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """One tone.

    Attributes
    ----------
    level_lu : float
        Its loudness against the voice's.
    says : str
        What it tells the children.
    """

    says: str
    level_lu: float
    parts: tuple[Note | NoiseBand, ...]

    @property
    def duration_s(self) -> float:
        """How long it sounds."""
        return max(part.duration_s + (part.start_s if isinstance(part, Note) else 0.0) for part in self.parts)

    def lasting(self, duration_s: float) -> Recipe:
        """Return the same tone played faster or slower, at the same pitch."""
        factor = duration_s / self.duration_s
        parts = (
            replace(
                part,
                start_s=factor * part.start_s,
                duration_s=factor * part.duration_s,
                half_life_s=None if part.half_life_s is None else factor * part.half_life_s,
            )
            if isinstance(part, Note)
            else replace(part, duration_s=factor * part.duration_s)
            for part in self.parts
        )
        return replace(self, parts=tuple(parts))


RECIPES: Final[dict[str, Recipe]] = {
    "attention": Recipe(
        says="Look up: a call is coming",
        level_lu=0.0,
        parts=(
            Note(fundamental_hz=_B5, duration_s=0.50, half_life_s=0.18),
            Note(fundamental_hz=_G5, start_s=0.40, duration_s=0.55, half_life_s=0.20),
        ),
    ),
    "tick": Recipe(
        says="Think: time is passing",
        level_lu=-14.0,
        parts=(
            Note(fundamental_hz=_G5, duration_s=0.20, harmonics_db=_WARM, half_life_s=0.03, ramp_s=0.005),
        ),
    ),
    "beep": Recipe(
        says="The last five seconds, one each",
        level_lu=-3.0,
        parts=(Note(fundamental_hz=_E5, duration_s=0.20),),
    ),
    "time-up": Recipe(
        says="Time's up",
        level_lu=0.0,
        parts=(Note(fundamental_hz=2 * _E5, duration_s=0.70),),
    ),
    "answer": Recipe(
        says="Here is the answer",
        level_lu=-3.0,
        parts=(
            Note(fundamental_hz=_E5, duration_s=0.40, harmonics_db=_WARM, half_life_s=0.20, ramp_s=0.020),
            Note(
                fundamental_hz=_A5,
                start_s=0.25,
                duration_s=0.60,
                harmonics_db=_WARM,
                half_life_s=0.25,
                ramp_s=0.020,
            ),
        ),
    ),
    "rep": Recipe(
        says="One more of the move",
        level_lu=-8.0,
        parts=(Note(fundamental_hz=_G5, duration_s=0.20, half_life_s=0.06),),
    ),
    "pause": Recipe(
        says="Wait: the lesson stands still",
        level_lu=-3.0,
        parts=(
            Note(fundamental_hz=_A5, duration_s=0.30, harmonics_db=_WARM, half_life_s=0.15),
            Note(fundamental_hz=_E5, start_s=0.25, duration_s=0.40, harmonics_db=_WARM, half_life_s=0.15),
        ),
    ),
    "sound-check": Recipe(
        says="Set the loudspeaker by this: it is as loud as the voice",
        level_lu=0.0,
        parts=(NoiseBand(low_hz=500.0, high_hz=2_000.0, duration_s=3.0),),
    ),
}
"""Every tone a lesson can ask for, by name."""


def synthesise(recipe: Recipe) -> NDArray[np.float32]:
    """Return the tone of `recipe`, shape (n,), its highest sample 0.5; its level is set when loaded."""
    parts = [(0.0, _noise(p)) if isinstance(p, NoiseBand) else (p.start_s, _note(p)) for p in recipe.parts]
    starts = [round(start_s * SAMPLE_RATE) for start_s, _ in parts]
    tone = np.zeros(max(start + part.size for start, (_, part) in zip(starts, parts, strict=True)))
    for start, (_, part) in zip(starts, parts, strict=True):
        tone[start : start + part.size] += part
    return np.asarray(0.5 * tone / np.abs(tone).max(), np.float32)


def ramped(samples: NDArray[np.float64], ramp_s: float) -> NDArray[np.float64]:
    """Return `samples` with raised-cosine ramps, ½(1 - cos πt/T), at both ends."""
    count = min(round(ramp_s * SAMPLE_RATE), samples.size // 2)
    rise = 0.5 * (1.0 - np.cos(np.pi * np.arange(count) / count)) if count else np.ones(0)
    shaped = samples.copy()
    shaped[:count] *= rise
    shaped[samples.size - count :] *= rise[::-1]
    return shaped


def _note(note: Note) -> NDArray[np.float64]:
    time_s = np.arange(round(note.duration_s * SAMPLE_RATE)) / SAMPLE_RATE
    sound = np.zeros_like(time_s)
    for number, level_db in enumerate(note.harmonics_db, 1):
        sound += 10.0 ** (level_db / 20.0) * np.sin(2.0 * np.pi * number * note.fundamental_hz * time_s)
    if note.half_life_s is not None:
        sound *= 0.5 ** (time_s / note.half_life_s)
    return ramped(sound, note.ramp_s)


def _noise(band: NoiseBand) -> NDArray[np.float64]:
    """Return noise as the sum of every sine that fits the duration, with phases from a fixed seed."""
    count = round(band.duration_s * SAMPLE_RATE)
    hertz = np.fft.rfftfreq(count, 1.0 / SAMPLE_RATE)
    inside = (hertz >= band.low_hz) & (hertz <= band.high_hz)
    phases = np.random.default_rng(20_251).uniform(0.0, 2.0 * np.pi, hertz.size)
    return ramped(np.fft.irfft(inside * np.exp(1j * phases), count), band.ramp_s)

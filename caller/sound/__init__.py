"""Voices, tones, loudness and mixing: arrays in, arrays out, no device; and how loud everything is.

The program knows samples, not decibels in the hall: every level here is digital (LUFS, dBTP), and the
loudness that reaches the children is set by the volume of the hall's loudspeaker.  Set it with a sound
level meter.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

from caller.languages import Tune

SAMPLE_RATE: Final = 48_000
"""Samples per second of every array in `caller.sound`."""

VOICE_LUFS: Final = -18.0
"""Integrated loudness of spoken sentences.  AES TD1008 (2021): speech streams at -18 LUFS (from memory)."""

STARTING_DB: Final = -6.0
"""The volume at which a lesson begins, over its samples: two steps up are left to the teacher."""

VOICE_CEILING_DBTP: Final = -2.5
"""Highest true peak of a spoken sentence: leaves room for a background under it below `CEILING_DBTP`."""

TONE_CEILING_DBTP: Final = -2.5
"""Highest true peak of a tone, for the same reason."""

CEILING_DBTP: Final = -1.0
"""Highest true peak of anything that leaves the program.  EBU R 128: at most -1 dBTP."""

BACKGROUND_BELOW_SPEECH_DB: Final = 20.0
"""Sounds under speech are at least this much quieter than it.  WCAG 2.2, success criterion 1.4.7."""

BACKGROUND_LUFS: Final = VOICE_LUFS - BACKGROUND_BELOW_SPEECH_DB
"""Loudness of a beat or a tone that sounds while the voice speaks."""

BACKGROUND_CEILING_DBTP: Final = -20.0
"""Highest true peak of a sound under speech."""


BEAT_LUFS: Final = VOICE_LUFS - 7.0
"""Loudness of the beat while nobody speaks: carries a move, and leaves a beep 10 dB over what it masks."""

BEAT_CEILING_DBTP: Final = -9.0
"""Highest true peak of the beat: a beep over it stays below `CEILING_DBTP`."""


class Melody(NamedTuple):
    """What makes a tune: how high it is said, and how far the voice moves."""

    semitones: float
    """Over the voice's own height."""
    lively: float
    """How far the voice rises and falls, of its own way."""


MELODIES: Final[Mapping[Tune, Melody]] = MappingProxyType(
    {
        "tell": Melody(0.0, 1.0),
        "ask": Melody(1.0, 1.25),
        "offer": Melody(0.5, 1.15),  # of all choices alike: nothing tells which is right
        "call": Melody(2.0, 1.3),
        "count": Melody(0.0, 0.7),
        "answer": Melody(1.0, 1.2),
        "reason": Melody(-0.5, 1.0),
        "praise": Melody(1.5, 1.5),
        "calm": Melody(-1.5, 0.7),
    }
)
"""What calls attention is high and wide, approval wide, comfort low and even: A. Fernald, "Intonation and
communicative intent in mothers' speech to infants", Child Development 60 (1989), from memory. How much is our
own choice, smaller than what is said to infants."""

PLAINLY: Final = MELODIES["tell"]


def background_gain(level_db: float, peak: float) -> float:
    """Return the gain at which a sound of this level and true peak may stand under speech; at most 1."""
    return min(1.0, to_gain(BACKGROUND_LUFS - level_db), to_gain(BACKGROUND_CEILING_DBTP) / peak)


def to_gain(db: float) -> float:
    """Return the factor on samples that changes their level by `db` decibels: 10^(dB/20)."""
    return float(10.0 ** (db / 20.0))

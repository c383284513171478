"""What a hall asks of the caller: pace, pauses, attention tone and wording, reckoned from its acoustics."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from caller.hall import Hall
from caller.hall.bands import CLASS_SPECTRUM_DB, FloatArray, shaped_db
from caller.hall.floor import clarity, floor_map, last_row_points, last_row_sti
from caller.hall.reverberation import mid_reverberation_s, reverberation_s

Wording: TypeAlias = Literal["plain", "apart"]

# A cue may be this loud at the nearest child, and no louder: WHO Guidelines for Community Noise (1999) give
# 85 dB LAeq,1h for public address; the tone sounds for a second at a time.
CUE_CEILING_DBA = 85.0

_TAIL_FOR_WORD_DB = 15.0  # the echo of a word, or a tone, falls this far before the next word that matters
_TAIL_FOR_SENTENCE_DB = 25.0
_WORD_GAP_S = (0.1, 0.6)
_SENTENCE_PAUSE_S = (0.8, 2.0)
_BREATH_S = (0.3, 1.0)
_TONE_S = (0.5, 1.0)
_CUE_OVER_VOICE_DB = (0.0, 12.0)
_MASKING_SLOPE_DB = 7.5  # ISO 7731 annex B: how slowly masking falls from octave to octave (from memory)

# Kindergarten and grade 2 understand best at 2.6 to 3.4 syllables a second, about 115 to 150 words a minute
# (Berry and Erickson 1973, JSLHR 16:367, abstract); where in it is judgement. The gaps slow a call further,
# and it is they, not long vowels, that lift words out of an echo: benchmarks/intelligibility.py.
_RATE_BY_STI = ((0.30, 0.60, 0.75), (110.0, 130.0, 140.0))
_APART_BELOW_STI = 0.60  # below "good", endings such as the n of fifteen are the first to go


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """How the caller speaks in a hall.

    `rate_wpm` counts words between pauses. The breath is the silence between the attention tone and the
    first word. `masked_db` is what a working class masks at the last row, octave by octave, against the
    level of the voice there; a listening class masks `stillness_db` less. No cue may be more than
    `cue_over_voice_db` over the voice. `wording` says whether minutes
    that sound alike (thirteen and thirty) are said plainly or digit by digit, "apart". With two loudspeakers
    what is said of a side comes from it.
    """

    rate_wpm: int
    gap_before_hour_s: float
    gap_before_minutes_s: float
    sentence_pause_s: float
    breath_s: float
    tone_length_s: float
    masked_db: tuple[float, ...]
    stillness_db: float
    cue_over_voice_db: float
    wording: Wording
    two_loudspeakers: bool = False


def tail_s(reverberation: float, fall_db: float) -> float:
    """Return how long the echo takes to fall by so much: a decay is a straight line in decibels."""
    return reverberation * fall_db / 60.0


def delivery_for(
    *,
    mid_reverberation: float,
    sti: float,
    class_over_voice_db: float = 2.0,
    stillness_db: float = 20.0,
    cue_over_voice_db: float = 9.0,
    two_loudspeakers: bool = False,
) -> Delivery:
    """Return the delivery for a hall known by its mid reverberation time (s) and its worst STI.

    Parameters
    ----------
    class_over_voice_db
        The A-weighted level of a working class over that of the voice at the last row.
    stillness_db
        How much quieter the class is while it listens.
    cue_over_voice_db
        How far a cue may be over the voice.
    """
    gap = round(float(np.clip(tail_s(mid_reverberation, _TAIL_FOR_WORD_DB), *_WORD_GAP_S)), 2)
    pause = tail_s(mid_reverberation, _TAIL_FOR_SENTENCE_DB)
    return Delivery(
        rate_wpm=5 * round(float(np.interp(sti, *_RATE_BY_STI)) / 5),
        gap_before_hour_s=gap,
        gap_before_minutes_s=gap,
        sentence_pause_s=round(float(np.clip(pause, *_SENTENCE_PAUSE_S)), 2),
        breath_s=round(float(np.clip(tail_s(mid_reverberation, _TAIL_FOR_WORD_DB), *_BREATH_S)), 2),
        tone_length_s=round(float(np.clip(mid_reverberation / 2.0, *_TONE_S)), 2),
        masked_db=_masked_by_class_db(class_over_voice_db),
        stillness_db=round(stillness_db, 1),
        cue_over_voice_db=round(float(np.clip(cue_over_voice_db, *_CUE_OVER_VOICE_DB)), 1),
        wording="apart" if sti < _APART_BELOW_STI else "plain",
        two_loudspeakers=two_loudspeakers,
    )


def delivery(hall: Hall) -> Delivery:
    """Return what this hall asks of the caller, for the worst place of the last row."""
    voice_at_back = float(clarity(hall, last_row_points(hall))[0].min())
    floor = floor_map(hall)
    voice_at_front = float(floor.level_dba[floor.in_class].max(initial=voice_at_back))
    return delivery_for(
        mid_reverberation=mid_reverberation_s(reverberation_s(hall)),
        sti=last_row_sti(hall),
        class_over_voice_db=hall.noise.working_dba - voice_at_back,
        stillness_db=hall.noise.working_dba - hall.noise.listening_dba,
        cue_over_voice_db=CUE_CEILING_DBA - voice_at_front,
        two_loudspeakers=hall.loudspeakers == "two",
    )


def _masked_by_class_db(level_db: float) -> tuple[float, ...]:
    """Return what a working class of this A-weighted level masks, octave by octave."""
    masked = masked_threshold_db(shaped_db(CLASS_SPECTRUM_DB, level_db))
    return tuple(round(float(each), 1) for each in masked)


def masked_threshold_db(noise_db: Sequence[float] | FloatArray) -> FloatArray:
    """Return the level at which a sound in each octave is just heard in noise (ISO 7731 annex B)."""
    threshold = np.array(noise_db, float)
    for band in range(1, threshold.size):
        threshold[band] = max(threshold[band], threshold[band - 1] - _MASKING_SLOPE_DB)
    return threshold


# Where no hall is named: a middling school hall. A hall file is how a teacher asks for more.
DEFAULT_DELIVERY = delivery_for(mid_reverberation=1.2, sti=0.60)

"""What a run sheet asks of the voice, the tones and the beat, for all that make sound from it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final

import numpy as np

from caller.runsheet.model import Line, RunSheet, VoicePlan
from caller.sound.beat import bed
from caller.sound.gaps import with_gaps
from caller.sound.levels import VOICE_LUFS
from caller.sound.loudness import octave_levels_db
from caller.sound.mixing import Clip, Placed
from caller.sound.speech import Speech, VoiceSettings
from caller.sound.tones import Tone, for_hall
from caller.timeline.layout import CallLayout

ATTENTION = "attention"

MARGINS_DB: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        ATTENTION: (10.0, 10.0),
        "time-up": (10.0, 10.0),
        "beep": (10.0, 10.0),
        "answer": (10.0, 3.0),
        "tick": (10.0, -math.inf),
    }
)
"""How far one octave of a tone stands over what a listening class masks, and over what a moving one does.

10 dB is the rule of ISO 7731 for a signal (from memory). An answer comes to a class that stands, some still
breathing hard; the tick counts while all stand and decide, and a beat carries those who move.
"""

_TOLD_FROM_DB: Final = 1.0


def voice_settings(run_sheet: RunSheet, line: Line) -> VoiceSettings:
    """Return who says a line, and how fast."""
    plan = run_sheet.voice
    return VoiceSettings(
        language=line.language,
        rate_wpm=plan.rate_wpm,
        name=plan.name if line.language == run_sheet.language else None,
    )


def as_called(line: Line, clip: Clip) -> Clip:
    """Return the spoken clip of a line with the silences that the hall needs inside it."""
    if not line.gaps or not isinstance(clip, Speech):
        return clip
    return with_gaps(clip, ((gap.at, gap.seconds) for gap in line.gaps))


def tones_of(run_sheet: RunSheet, tones: Mapping[str, Tone]) -> Mapping[str, Tone]:
    """Return the tones of a run sheet: each that must be heard as loud as the hall needs, if it may be."""
    plan = run_sheet.voice
    return {**tones, **{name: _fitted(tones[name], plan) for name in MARGINS_DB if name in tones}}


def short_db(plan: VoicePlan, tones: Mapping[str, Tone]) -> Mapping[str, float]:
    """Return by how many decibels tones stay under what they need, where they do: the ceilings bind."""
    lacking = {name: _needed_db(_fitted(tones[name], plan), plan) for name in MARGINS_DB}
    return {name: lack for name, lack in lacking.items() if lack > _TOLD_FROM_DB}


def _fitted(tone: Tone, plan: VoicePlan) -> Tone:
    """Return a tone as loud as it must be, but never over what is safe at the nearest child."""
    length_s = plan.attention_s if tone.name == ATTENTION else None
    long = for_hall(tone, length_s=length_s)
    allowed_db = max(0.0, VOICE_LUFS + plan.cue_over_voice_db - long.level_db)
    louder_db = round(min(max(0.0, _needed_db(long, plan)), allowed_db), 1)
    return for_hall(tone, length_s=length_s, louder_db=louder_db)


def _needed_db(tone: Tone, plan: VoicePlan) -> float:
    """Return how much louder a tone would have to be for one octave of it to stand out of the class."""
    if not plan.masked_db:
        return 0.0
    over_still, over_moving = MARGINS_DB[tone.name]
    masked = np.array(plan.masked_db)
    own = octave_levels_db(tone.samples) - VOICE_LUFS
    wanted = max(over_still - plan.stillness_db, over_moving)
    return float((masked + wanted - own).min())


def beat_of(layout: CallLayout, sounds: Sequence[Placed], own: Tone | None) -> Iterator[Placed]:
    """Yield the beat of a call in stretches, 20 dB under whatever is spoken meanwhile.

    Parameters
    ----------
    layout, sounds
        The call, and its words and tones.
    own
        A loop to play instead of the program's own beat.
    """
    beat, start = layout.call.beat, layout.move_start
    if beat is None or layout.move_end <= start:
        return
    made = bed(
        bpm=beat.bpm, length=layout.move_end - start, mood=beat.character, pattern=beat.pattern, own=own
    )
    spoken = [
        (item.start - start, item.stop - start)
        for event, item in zip(layout.events, sounds, strict=True)
        if event.kind == "speech"
    ]
    for first, stretch in made.around(spoken):
        yield Placed(start=start + first, clip=stretch)

"""What a run sheet asks of the voice, the tones and the beat, for all that make sound from it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from caller.runsheet.model import Line, RunSheet
from caller.sound.beat import bed
from caller.sound.gaps import with_gaps
from caller.sound.mixing import Clip, Placed
from caller.sound.speech import Speech, VoiceSettings
from caller.sound.tones import Tone, for_hall
from caller.timeline.layout import CallLayout

ATTENTION = "attention"


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
    """Return the tones of a run sheet: the attention tone as long and as loud as the hall needs."""
    plan = run_sheet.voice
    if ATTENTION not in tones:
        return tones
    attention = for_hall(tones[ATTENTION], length_s=plan.attention_s, louder_db=plan.attention_over_voice_db)
    return {**tones, ATTENTION: attention}


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

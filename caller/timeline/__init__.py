"""The run sheet performed on one sample clock: what of a call sounds when, and what the picture may ask.

Pure: it is told how long each spoken clip and each tone lasts, and gives sample positions. All
positions count samples at `SAMPLE_RATE` from the call's own start.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from typing import Literal

from caller.runsheet import Call, Countdown, Line
from caller.sound import SAMPLE_RATE


def samples_of(seconds: float) -> int:
    """Return the number of samples nearest to `seconds`."""
    return round(seconds * SAMPLE_RATE)


def seconds_of(samples: int) -> float:
    """Return how long `samples` last, in seconds."""
    return samples / SAMPLE_RATE


@dataclass(frozen=True, slots=True, kw_only=True)
class LineSpan:
    """Where a line lies: from `start` to `end`, its speech from `speech_start` to `speech_end`."""

    line: Line
    start: int
    speech_start: int
    speech_end: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundEvent:
    """A sound to be placed: a tone by name, or the speech of a line by its index."""

    kind: Literal["tone", "speech"]
    start: int
    tone: str = ""
    line: int = -1
    under_speech: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CallLayout:
    """A call on the sample clock."""

    call: Call
    spans: tuple[LineSpan, ...]
    events: tuple[SoundEvent, ...]
    countdown_start: int  # where think time begins (the end of the last line)
    countdown_end: int  # equal to `countdown_start` where there is none
    move_start: int  # where movement begins, on the first beat: with the countdown, the counting or the hold
    move_end: int
    length: int


def lay_out(
    call: Call,
    *,
    speech_length: Callable[[Line], int],
    tone_length: Callable[[str], int],
) -> CallLayout:
    """Place the lines, the tones and the countdown of `call`.

    Parameters
    ----------
    call
        The call; lines follow one another, then the countdown, then its hold.
    speech_length
        Samples that the spoken clip of a line lasts.
    tone_length
        Samples that a named tone lasts.
    """
    spans: list[LineSpan] = []
    events: list[SoundEvent] = []
    cursor = 0
    for index, line in enumerate(call.lines):
        start = cursor
        tone_end = start
        if line.tone is not None:
            # On an even beat the tone sounds under the number, elsewhere before the words.
            under_speech = line.slot_s is not None and bool(line.speech)
            events.append(SoundEvent(kind="tone", start=start, tone=line.tone, under_speech=under_speech))
            tone_end += tone_length(line.tone)
            cursor = start if under_speech else tone_end
        cursor += samples_of(line.breath_s)
        speech_start = cursor
        if line.speech:
            events.append(SoundEvent(kind="speech", start=cursor, line=index))
            cursor += speech_length(line)
        speech_end = cursor
        if line.slot_s is not None:
            cursor = start + _slot(call, line.slot_s, max(speech_end, tone_end) - start)
        else:
            cursor += samples_of(line.pause_s)
        spans.append(
            LineSpan(line=line, start=start, speech_start=speech_start, speech_end=speech_end, end=cursor)
        )
    countdown_start = cursor
    if call.countdown is not None:
        events.extend(_countdown_events(call.countdown, cursor))
        cursor += samples_of(call.countdown.seconds)
    countdown_end = cursor
    length = cursor + samples_of(call.hold_s)
    move_start, move_end = _movement(call, spans, countdown_start, countdown_end, length)
    return CallLayout(
        call=call,
        spans=tuple(spans),
        events=tuple(events),
        countdown_start=countdown_start,
        countdown_end=countdown_end,
        move_start=move_start,
        move_end=move_end,
        length=length,
    )


def _slot(call: Call, slot_s: float, needed: int) -> int:
    """Return how long a line with its own slot takes: longer words move the next on by whole beats."""
    slot = samples_of(slot_s)
    if needed <= slot or call.beat is None:
        return max(slot, needed)
    beat_s = 60.0 / call.beat.bpm
    return samples_of(slot_s + beat_s * ceil(seconds_of(needed - slot) / beat_s))


def _movement(
    call: Call, spans: list[LineSpan], countdown_start: int, countdown_end: int, length: int
) -> tuple[int, int]:
    """Return from where to where the class moves, if such a call asks it to."""
    counted = [span for span in spans if span.line.count is not None]
    start, end = countdown_start, length
    if call.countdown is not None:
        end = countdown_end
    elif counted:
        start, end = counted[0].start, counted[-1].end
    if call.beat is not None and call.beat.seconds is not None:
        end = min(end, start + samples_of(call.beat.seconds))
    return start, end


def _countdown_events(countdown: Countdown, start: int) -> list[SoundEvent]:
    """Tick on every whole second, beep on each of the last `beeps`; the end belongs to the next call."""
    beeps_from = max(countdown.seconds - countdown.beeps, 0)
    events = []
    for second in range(countdown.seconds):
        tone = countdown.beep if second >= beeps_from else countdown.tick if second > 0 else None
        if tone is not None:
            events.append(SoundEvent(kind="tone", start=start + samples_of(second), tone=tone))
    return events

"""Clocks described in words, for people who do not see the picture.

A description tells where the hands are, not what time it is: that is the question. It is spoken at the start
of the thinking time where it fits before the last beeps, with the ticks turned down under it; as text it is
always there.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.clock import ClockTime
from caller.export.captions import Caption, in_lines, parts_of, reading_s
from caller.export.programme import BLOCK, Measured, Programme, measure
from caller.languages.folders import table
from caller.runsheet import Board
from caller.sound.mixing import Placed, mix, mix_wide
from caller.sound.speech import VoiceSettings
from caller.sound.tones import Tone
from caller.timeline import CallLayout, samples_of, seconds_of
from caller.timeline.segment import VoiceSource

_QUIET_S: Final = 0.5  # before a description and after it


@dataclass(frozen=True, slots=True, kw_only=True)
class Description:
    """A clock described: the words, and where they may be said, in samples of the lesson."""

    text: str
    start: int
    room: int  # samples without anything but ticks; 0 where there is none


def describe(board: Board, language: str) -> str:
    """Return where the hands of a board's clocks are; nothing where it has no clock."""
    words = table(language, "descriptions")
    dials = [(dial.label, dial.time) for dial in board.dials if dial.time is not None]
    dials += [(words[lane.side], lane.dial) for lane in board.lanes if lane.dial is not None]
    told = []
    for label, time in dials:
        dial = words["dial"].format(short=_short_hand(time, words), long=_long_hand(time, words))
        told.append(
            words["labelled"].format(label=label, dial=dial[:1].lower() + dial[1:]) if label else dial
        )
    return " ".join(told)


def descriptions(programme: Programme) -> tuple[Description, ...]:
    """Return a description of every clock that is asked about or explained, once in each round."""
    language = programme.run_sheet.language
    found: dict[tuple[object, ...], Description] = {}
    for layout, start in zip(programme.layouts, programme.starts, strict=False):
        call = layout.call
        text = describe(call.board, language)
        key = (call.part, call.round, text)
        if not text or (key in found and (found[key].room or call.countdown is None)):
            continue
        place = _place(layout)
        found[key] = Description(text=text, start=start + place[0], room=place[1])
    return tuple(sorted(found.values(), key=lambda description: description.start))


class DescribedSound:
    """The lesson's sound with its clocks described aloud.

    Attributes
    ----------
    cues
        Every description as text, with its time.
    """

    def __init__(self, programme: Programme, voice: VoiceSource) -> None:
        self._programme = programme
        sheet = programme.run_sheet
        settings = VoiceSettings(
            language=sheet.language, rate_wpm=sheet.voice.rate_wpm, name=sheet.voice.name
        )
        self._spoken: list[Placed] = []
        told = descriptions(programme)
        for description in told:
            clip = voice.clip(description.text, settings) if description.room else None
            if clip is not None and clip.samples.size <= description.room:
                self._spoken.append(Placed(start=description.start, clip=clip))
        self.cues = tuple(_cues(told, seconds_of(programme.length)))

    @property
    def channels(self) -> int:
        """As many as the lesson has; what is described comes from the middle."""
        return self._programme.channels

    @property
    def spoken(self) -> int:
        """How many descriptions are spoken."""
        return len(self._spoken)

    def blocks(self) -> Iterator[NDArray[np.float32]]:
        """Yield the sound from start to end, as `Programme.blocks` does."""
        for number, segment in enumerate(self._programme.segments()):
            at = self._programme.starts[number]
            spoken = [
                replace(item, start=item.start - at)
                for item in self._spoken
                if at <= item.start < at + segment.length
            ]
            # A beat would be under a description from end to end: such a call goes without.
            sounds = segment.unaccompanied if spoken else segment.placed
            placed = [*spoken, *(_under(item, spoken) for item in sounds)]
            for start in range(0, segment.length, BLOCK):
                yield (mix_wide if segment.wide else mix)(placed, start, min(BLOCK, segment.length - start))

    @cached_property
    def measured(self) -> Measured:
        """How loud it is, before it is brought to its level."""
        return measure(self.blocks(), self.channels)


def _short_hand(time: ClockTime, words: Mapping[str, str]) -> str:
    hour = time.minutes // 60 or 12
    if time.minute == 0:
        return words["at"].format(n=hour)
    return words["between"].format(n=hour, next=hour % 12 + 1)


def _long_hand(time: ClockTime, words: Mapping[str, str]) -> str:
    fives, marks = divmod(time.minute, 5)
    key = "at" if marks == 0 else "past-one" if marks == 1 else "past"
    return words[key].format(n=fives or 12, marks=marks)


def _place(layout: CallLayout) -> tuple[int, int]:
    """Return where in a call a description may start, and how long it may be."""
    if layout.call.countdown is None:
        return (layout.spans[-1].speech_end if layout.spans else 0), 0
    start = layout.countdown_start + samples_of(_QUIET_S)
    end = layout.countdown_end - samples_of(layout.call.countdown.beeps + _QUIET_S)
    return start, max(end - start, 0)


def _under(item: Placed, spoken: list[Placed]) -> Placed:
    """Turn a tone down while a description is said."""
    if isinstance(item.clip, Tone) and any(item.start < one.stop and one.start < item.stop for one in spoken):
        return replace(item, gain=item.clip.gain_under_speech)
    return item


def _cues(told: tuple[Description, ...], end_s: float) -> Iterator[Caption]:
    """Yield the descriptions as cues, one after another in parts that fit."""
    free_s = 0.0
    for description in told:
        at_s = max(seconds_of(description.start), free_s)
        for part in parts_of(description.text):
            cue = Caption(start_s=at_s, end_s=at_s, lines=in_lines(part) or (part,))
            free_s = min(at_s + reading_s(cue), end_s)
            if free_s > at_s:
                yield replace(cue, end_s=free_s)
            at_s = free_s

"""Segments: calls with their sound, made one at a time so that memory does not grow with a lesson."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from caller.runsheet.model import Call, RunSheet
from caller.sound.manifest import BEAT
from caller.sound.mixing import Clip, Placed, keep_headroom, mix
from caller.sound.speech import VoiceSettings
from caller.sound.tones import Tone
from caller.timeline.layout import CallLayout, SoundEvent, lay_out
from caller.timeline.spoken import as_called, beat_of, tones_of, voice_settings

_SEGMENTS_KEPT = 6  # the one playing, those queued behind it, and one to step back to


class VoiceSource(Protocol):
    """Where spoken clips come from."""

    def clip(self, text: str, settings: VoiceSettings) -> Clip:
        """Return the spoken clip; one that failed is silence of about its length."""
        ...

    def speak_ahead(self, requests: Iterable[tuple[str, VoiceSettings]]) -> None:
        """Start speaking what will be asked for soon."""
        ...


@dataclass(frozen=True, eq=False)
class Segment:
    """A call ready to be heard: its layout, and its sounds placed on the sample clock."""

    layout: CallLayout
    unaccompanied: tuple[Placed, ...]  # words and tones
    own_beat: Tone | None = None  # a loop played instead of the program's beat

    @cached_property
    def placed(self) -> tuple[Placed, ...]:
        """All its sounds, words and tones first; the beat is made when it is first asked for."""
        beat = beat_of(self.layout, self.unaccompanied, self.own_beat)
        return keep_headroom([*self.unaccompanied, *beat])

    @property
    def beat(self) -> tuple[Placed, ...]:
        """The beat alone, in stretches."""
        return self.placed[len(self.unaccompanied) :]

    @property
    def call(self) -> Call:
        """The call this segment performs."""
        return self.layout.call

    @property
    def length(self) -> int:
        """Length in samples."""
        return self.layout.length

    def render(self, start: int, count: int, *, beat: bool = True) -> NDArray[np.float32]:
        """Return `count` samples from `start`, float32 mono, with its beat or without."""
        return mix(self.placed if beat else self.unaccompanied, start, count)


class Timeline:
    """A run sheet performed. Safe to use from several threads."""

    def __init__(self, run_sheet: RunSheet, *, voice: VoiceSource, tones: Mapping[str, Tone]) -> None:
        self.run_sheet = run_sheet
        self._voice = voice
        self._tones = tones_of(run_sheet, tones)
        self._kept: OrderedDict[Call, Segment] = OrderedDict()
        self._lengths: dict[Call, int] = {}
        self._lock = threading.Lock()

    def speak_ahead(self, calls: Sequence[Call] | None = None) -> None:
        """Have the words of `calls` (of the whole run sheet if None) spoken in the background."""
        self._voice.speak_ahead(
            (line.speech, voice_settings(self.run_sheet, line))
            for call in (self.run_sheet.calls if calls is None else calls)
            for line in call.lines
            if line.speech
        )

    def segment(self, call: Call) -> Segment:
        """Return the segment of `call`, waiting for its words to be spoken if need be."""
        with self._lock:
            if call in self._kept:
                self._kept.move_to_end(call)
                return self._kept[call]
        segment = self._make(call)
        _ = segment.placed  # here, where there is time, and not where the loudspeaker waits
        with self._lock:
            self._kept[call] = segment
            self._lengths[call] = segment.length
            while len(self._kept) > _SEGMENTS_KEPT:
                self._kept.popitem(last=False)
        return segment

    def length(self, call: Call) -> int:
        """Return how many samples `call` lasts."""
        with self._lock:
            known = self._lengths.get(call)
        if known is None:
            known = self._make(call).length
            with self._lock:
                self._lengths[call] = known
        return known

    def starts(self) -> list[int]:
        """Return the start of every call in samples from the lesson's start, and last its end."""
        self.speak_ahead()
        return [0, *accumulate(self.length(call) for call in self.run_sheet.calls)]

    def _make(self, call: Call) -> Segment:
        clips = {
            index: as_called(line, self._voice.clip(line.speech, voice_settings(self.run_sheet, line)))
            for index, line in enumerate(call.lines)
            if line.speech
        }
        by_line = {call.lines[index]: clip for index, clip in clips.items()}
        layout = lay_out(
            call,
            speech_length=lambda line: len(by_line[line].samples),
            tone_length=lambda name: len(self._tones[name].samples),
        )
        sounds = keep_headroom([self._place(event, clips) for event in layout.events])
        return Segment(layout=layout, unaccompanied=sounds, own_beat=self._tones.get(BEAT))

    def _place(self, event: SoundEvent, clips: Mapping[int, Clip]) -> Placed:
        if event.kind == "speech":
            return Placed(start=event.start, clip=clips[event.line])
        tone = self._tones[event.tone]
        return Placed(
            start=event.start, clip=tone, gain=tone.gain_under_speech if event.under_speech else 1.0
        )

"""Segments: calls with their sound, made one at a time, and what they ask of voice, tones and beat."""

from __future__ import annotations

import math
import threading
from collections import OrderedDict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from types import MappingProxyType
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from caller.deciding import Side
from caller.runsheet import Call, Line, RunSheet, VoicePlan
from caller.sound import VOICE_LUFS
from caller.sound.beat import bed
from caller.sound.loudness import octave_levels_db
from caller.sound.mixing import Clip, Placed, keep_headroom, mix, mix_wide
from caller.sound.own_voice import OwnVoice, Said
from caller.sound.speech import Speech, VoiceSettings, with_gaps
from caller.sound.tones import BEAT, Tone, for_hall
from caller.timeline import CallLayout, SoundEvent, lay_out

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
    """Return who says a line, how fast and how."""
    plan = run_sheet.voice
    return VoiceSettings(
        language=line.language,
        rate_wpm=plan.rate_wpm,
        name=plan.name if line.language == run_sheet.language else None,
        tune=line.tune,
    )


def as_called(line: Line, clip: Clip) -> Clip:
    """Return the spoken clip of a line with the silences that the hall needs inside it."""
    if not line.gaps or not isinstance(clip, Speech):
        return clip
    return with_gaps(clip, ((gap.at, gap.seconds) for gap in line.gaps))


def said_in(call: Call) -> list[Said]:
    """Return the sentences of a call with their languages, as a voice of one's own is asked for them."""
    return [(line.speech, line.language) for line in call.lines if line.speech]


def tones_of(run_sheet: RunSheet, tones: Mapping[str, Tone]) -> Mapping[str, Tone]:
    """Return the tones of a run sheet: each that must be heard as loud as the hall needs, if it may be."""
    return _FittedTones(tones, run_sheet.voice)


class _FittedTones(Mapping[str, Tone]):
    """Tones, each made as loud as a hall needs it when it is first asked for: a lesson begins with one."""

    def __init__(self, tones: Mapping[str, Tone], plan: VoicePlan) -> None:
        self._tones = tones
        self._plan = plan
        self._fitted: dict[str, Tone] = {}

    def __getitem__(self, name: str) -> Tone:
        if name not in MARGINS_DB:
            return self._tones[name]
        if name not in self._fitted:
            self._fitted[name] = _fitted(self._tones[name], self._plan)
        return self._fitted[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._tones)

    def __len__(self) -> int:
        return len(self._tones)


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


_TOWARD: Final[Mapping[Side | None, float]] = MappingProxyType({"left": 1.0, "right": -1.0})
"""Where each lane's words come from; those of the middle one from the middle."""

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
    own_voice: bool = False  # all its words are recorded, none of them said by the program
    wide: bool = False  # what it says of a lane comes from that lane's side, where two loudspeakers play it

    @cached_property
    def placed(self) -> tuple[Placed, ...]:
        """All its sounds, words and tones first; the beat is made when it is first asked for."""
        beat = beat_of(self.layout, self.unaccompanied, self.own_beat)
        return keep_headroom([*self.unaccompanied, *beat])

    @property
    def beat(self) -> tuple[Placed, ...]:
        """The beat alone, in stretches."""
        return self.placed[len(self.unaccompanied) :]

    @cached_property
    def words(self) -> tuple[Placed, ...]:
        """What is spoken, alone."""
        sounds = zip(self.layout.events, self.unaccompanied, strict=True)
        return tuple(item for event, item in sounds if event.kind == "speech")

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

    def render_wide(self, start: int, count: int, *, beat: bool = True) -> NDArray[np.float32]:
        """Return `count` samples from `start` for two loudspeakers, float32, shape (count, 2)."""
        return mix_wide(self.placed if beat else self.unaccompanied, start, count)


class Timeline:
    """A run sheet performed. Safe to use from several threads.

    Parameters
    ----------
    own
        Recordings of a voice of one's own: each call of which every sentence is recorded is heard in it.
    """

    def __init__(
        self,
        run_sheet: RunSheet,
        *,
        voice: VoiceSource,
        tones: Mapping[str, Tone],
        own: OwnVoice | None = None,
    ) -> None:
        self.run_sheet = run_sheet
        self._voice = voice
        self._own = own
        self._tones = tones_of(run_sheet, tones)
        self._kept: OrderedDict[Call, Segment] = OrderedDict()
        self._lengths: dict[Call, int] = {}
        self._lock = threading.Lock()

    def speak_ahead(self, calls: Sequence[Call] | None = None) -> None:
        """Have the words of `calls` (of the whole run sheet if None) spoken in the background."""
        self._voice.speak_ahead(
            (line.speech, voice_settings(self.run_sheet, line))
            for call in (self.run_sheet.calls if calls is None else calls)
            if self._own is None or not all(map(self._own.has, said_in(call)))
            for line in call.lines
            if line.speech
        )

    def segment(self, call: Call) -> Segment:
        """Return the segment of `call`, waiting for its words to be spoken if need be."""
        with self._lock:
            if call in self._kept:
                self._kept.move_to_end(call)
                return self._kept[call]
        segment = self.bare(call)
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
            known = self.bare(call).length
            with self._lock:
                self._lengths[call] = known
        return known

    def starts(self) -> list[int]:
        """Return the start of every call in samples from the lesson's start, and last its end."""
        self.speak_ahead()
        return [0, *accumulate(self.length(call) for call in self.run_sheet.calls)]

    def _clips(self, call: Call) -> tuple[dict[int, Clip], bool]:
        """Return the clip of each line that is spoken, and whether all are recorded: all are, or none."""
        spoken = {index: line for index, line in enumerate(call.lines) if line.speech}
        own = self._own.whole(said_in(call)) if self._own is not None else None
        if own is not None:
            return dict(zip(spoken, own, strict=True)), True
        return {
            index: as_called(line, self._voice.clip(line.speech, voice_settings(self.run_sheet, line)))
            for index, line in spoken.items()
        }, False

    def bare(self, call: Call) -> Segment:
        """Return the segment of `call` with its beat not made yet, which takes longer than all else of it."""
        clips, own_voice = self._clips(call)
        by_line = {call.lines[index]: clip for index, clip in clips.items()}
        layout = lay_out(
            call,
            speech_length=lambda line: len(by_line[line].samples),
            tone_length=lambda name: len(self._tones[name].samples),
        )
        sounds = keep_headroom([self._place(call, event, clips) for event in layout.events])
        return Segment(
            layout=layout,
            unaccompanied=sounds,
            own_beat=self._tones.get(BEAT),
            own_voice=own_voice,
            wide=self.run_sheet.voice.two_loudspeakers,
        )

    def _place(self, call: Call, event: SoundEvent, clips: Mapping[int, Clip]) -> Placed:
        if event.kind == "speech":
            side = call.lines[event.line].point_to if self.run_sheet.voice.two_loudspeakers else None
            return Placed(start=event.start, clip=clips[event.line], toward=_TOWARD.get(side, 0.0))
        tone = self._tones[event.tone]
        return Placed(
            start=event.start, clip=tone, gain=tone.gain_under_speech if event.under_speech else 1.0
        )

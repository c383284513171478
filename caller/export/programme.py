"""A whole lesson on one sample clock and at one loudness: what is seen at any sample, and the sound from
end to end.

Sentences are at `VOICE_LUFS` each, but a lesson also has tones and pauses, and they move its integrated
loudness (by half a unit to one, measured). AES TD1008 and EBU R 128 set the level of whole programmes, so a
lesson as a file gets one gain that brings it to the same figure.

Sound is made call by call and in blocks, so that memory does not grow with the lesson.
"""

from __future__ import annotations

import threading
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.errors import SoundError
from caller.runsheet import RunSheet
from caller.screen.scene import Scene
from caller.sound import CEILING_DBTP, SAMPLE_RATE, VOICE_LUFS, to_gain
from caller.sound.loudness import SILENT_DB, LoudnessMeter, PeakMeter, limit_true_peak
from caller.sound.speech import Speech
from caller.timeline import CallLayout
from caller.timeline.picture import scene_at
from caller.timeline.segment import Segment, Timeline

PROGRAMME_LUFS: Final = VOICE_LUFS
"""Integrated loudness of an exported lesson."""

LOSSY_MARGIN_DB: Final = 0.5
"""What MP3 and Opus may add to a peak: measured 0.1 to 0.3 dB on lessons."""

_CONTEXT = SAMPLE_RATE // 50  # the limiter looks 4 ms ahead; its filter rings for less than the rest

SoundBlock = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Integrated loudness (ITU-R BS.1770) and true peak."""

    lufs: float
    peak_dbtp: float

    @property
    def gain_db(self) -> float:
        """The gain that brings it to `PROGRAMME_LUFS`; none for silence."""
        return PROGRAMME_LUFS - self.lufs if self.lufs > SILENT_DB else 0.0


def measure(blocks: Iterable[SoundBlock], channels: int = 1) -> Measured:
    """Return how loud sound is, taking it block by block, and the highest peak of any of its channels.

    Shape of a block: (n,), or (n, `channels`).
    """
    loudness, peaks = LoudnessMeter(channels), [PeakMeter() for _ in range(channels)]
    for block in blocks:
        loudness.add(block)
        for peak, channel in zip(peaks, block.reshape(-1, channels).T, strict=True):
            peak.add(channel)
    return Measured(lufs=loudness.lufs(), peak_dbtp=max(peak.dbtp() for peak in peaks))


def levelled(
    blocks: Iterable[SoundBlock], measured: Measured, *, margin_db: float = 0.0
) -> Iterator[SoundBlock]:
    """Yield `blocks` at the programme's loudness, no true peak above `CEILING_DBTP` less `margin_db`."""
    gain = np.float32(to_gain(measured.gain_db))
    louder = (block * gain for block in blocks)
    ceiling_dbtp = CEILING_DBTP - margin_db
    if measured.peak_dbtp + measured.gain_db <= ceiling_dbtp:
        return louder
    return _limited(louder, ceiling_dbtp)


def _limited(blocks: Iterable[SoundBlock], ceiling_dbtp: float) -> Iterator[SoundBlock]:
    """Limit each block together with a little of what is before and after it."""
    whole = iter(blocks)
    held = next(whole, None)
    if held is None:
        return
    before = nothing = held[:0]

    def limited(held: SoundBlock, after: SoundBlock) -> SoundBlock:
        around = np.concatenate((before, held, after[:_CONTEXT]))
        return limit_true_peak(around, ceiling_dbtp=ceiling_dbtp)[len(before) : len(before) + len(held)]

    for block in whole:
        if len(block) < _CONTEXT:
            held = np.concatenate((held, block))
            continue
        if len(held):
            yield limited(held, block)
            before = held[-_CONTEXT:]
        held = block
    if len(held):
        yield limited(held, nothing)


BLOCK = SAMPLE_RATE
"""Samples in one block of sound."""


class Programme:
    """A timeline from its first sample to its last.

    Attributes
    ----------
    run_sheet
        What is performed.
    layouts
        Every call on its own sample clock.
    starts
        Where each call starts, in samples from the lesson's start; last, the lesson's end.
    """

    def __init__(self, timeline: Timeline) -> None:
        self._given_up = threading.Event()
        self._timeline = timeline
        self.run_sheet: RunSheet = timeline.run_sheet
        timeline.speak_ahead()
        layouts: list[CallLayout] = []
        self._missing: list[str] = []
        for call in self.run_sheet.calls:
            segment = timeline.bare(call)
            layouts.append(segment.layout)
            self._missing += [
                item.clip.why for item in segment.words if isinstance(item.clip, Speech) and item.clip.missing
            ]
        self.layouts = tuple(layouts)
        self.starts = (0, *accumulate(layout.length for layout in layouts))

    @property
    def channels(self) -> int:
        """Two where the hall has two loudspeakers, else one."""
        return 2 if self.run_sheet.voice.two_loudspeakers else 1

    @property
    def length(self) -> int:
        """Length of the lesson in samples."""
        return self.starts[-1]

    def scene(self, sample: int) -> Scene:
        """Return what is seen at `sample` of the lesson."""
        index = min(max(bisect_right(self.starts, sample) - 1, 0), len(self.layouts) - 1)
        return scene_at(self.layouts[index], sample - self.starts[index])

    def segments(self) -> Iterator[Segment]:
        """Yield the segments in order, each made when it is asked for."""
        return map(self._timeline.segment, self.run_sheet.calls)

    def blocks(self) -> Iterator[NDArray[np.float32]]:
        """Yield the sound from start to end, float32, in blocks of at most `BLOCK` samples.

        Their shape is (n,), or (n, 2) for left and right.
        """
        for segment in self.segments():
            render = segment.render_wide if segment.wide else segment.render
            for start in range(0, segment.length, BLOCK):
                self.go_on()
                yield render(start, min(BLOCK, segment.length - start))

    def give_up(self) -> None:
        """Have all that is being made of it end at once, in whichever thread: one of them was interrupted."""
        self._given_up.set()

    def go_on(self) -> None:
        """Return, unless it was given up.

        Raises
        ------
        KeyboardInterrupt
            As in the thread that was interrupted first.
        """
        if self._given_up.is_set():
            raise KeyboardInterrupt

    @cached_property
    def measured(self) -> Measured:
        """How loud the whole lesson is, before it is brought to its level."""
        return measure(self.blocks(), self.channels)

    def require_voice(self) -> None:
        """Refuse to write a lesson in which sentences are missing.

        Raises
        ------
        SoundError
            If any sentence could not be spoken. In the hall a lesson goes on without one; a file would be
            without it for ever.
        """
        if self._missing:
            raise SoundError(
                f"{len(self._missing)} sentences of this lesson could not be spoken ({self._missing[0]}). "
                "Nothing was written; run the export again."
            )

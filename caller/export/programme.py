"""A whole lesson on one sample clock: what is seen at any sample, and the sound from end to end.

Sound is made call by call and in blocks, so that memory does not grow with the lesson.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from functools import cached_property
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from caller.errors import SoundError
from caller.export.loudness import Measured, measure
from caller.runsheet.model import RunSheet
from caller.screen.scene import Scene
from caller.sound.levels import SAMPLE_RATE
from caller.sound.speech import Speech
from caller.timeline.layout import CallLayout
from caller.timeline.picture import scene_at
from caller.timeline.segment import Segment, Timeline

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
        self._timeline = timeline
        self.run_sheet: RunSheet = timeline.run_sheet
        timeline.speak_ahead()
        layouts: list[CallLayout] = []
        self._missing: list[str] = []
        for call in self.run_sheet.calls:
            segment = timeline.segment(call)
            layouts.append(segment.layout)
            self._missing += [
                item.clip.why
                for item in segment.placed
                if isinstance(item.clip, Speech) and item.clip.missing
            ]
        self.layouts = tuple(layouts)
        self.starts = (0, *accumulate(layout.length for layout in layouts))

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
        """Yield the sound from start to end, float32 mono, in blocks of at most `BLOCK` samples."""
        for segment in self.segments():
            for start in range(0, segment.length, BLOCK):
                yield segment.render(start, min(BLOCK, segment.length - start))

    @cached_property
    def measured(self) -> Measured:
        """How loud the whole lesson is, before it is brought to its level."""
        return measure(self.blocks())

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

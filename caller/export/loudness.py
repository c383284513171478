"""The whole lesson at one loudness, measured and set in two passes over its blocks.

Sentences are at `VOICE_LUFS` each, but a lesson also has tones and pauses, and they move its integrated
loudness (by half a unit to one, measured). AES TD1008 and EBU R 128 set the level of whole programmes, so a
lesson as a file gets one gain that brings it to the same figure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.sound.levels import CEILING_DBTP, SAMPLE_RATE, VOICE_LUFS, to_gain
from caller.sound.loudness import limit_true_peak
from caller.sound.meter import SILENT_DB, LoudnessMeter, PeakMeter

PROGRAMME_LUFS: Final = VOICE_LUFS
"""Integrated loudness of an exported lesson."""

LOSSY_MARGIN_DB: Final = 0.5
"""What AAC, MP3 and Opus may add to a peak: measured 0.1 to 0.3 dB on lessons."""

_CONTEXT = SAMPLE_RATE // 50  # the limiter looks 4 ms ahead; its filter rings for less than the rest

Block = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Integrated loudness (ITU-R BS.1770) and true peak."""

    lufs: float
    peak_dbtp: float

    @property
    def gain_db(self) -> float:
        """The gain that brings it to `PROGRAMME_LUFS`; none for silence."""
        return PROGRAMME_LUFS - self.lufs if self.lufs > SILENT_DB else 0.0


def measure(blocks: Iterable[Block]) -> Measured:
    """Return how loud mono sound is, taking it block by block."""
    loudness, peak = LoudnessMeter(), PeakMeter()
    for block in blocks:
        loudness.add(block)
        peak.add(block)
    return Measured(lufs=loudness.lufs(), peak_dbtp=peak.dbtp())


def levelled(blocks: Iterable[Block], measured: Measured, *, margin_db: float = 0.0) -> Iterator[Block]:
    """Yield `blocks` at the programme's loudness, no true peak above `CEILING_DBTP` less `margin_db`."""
    gain = np.float32(to_gain(measured.gain_db))
    louder = (block * gain for block in blocks)
    ceiling_dbtp = CEILING_DBTP - margin_db
    if measured.peak_dbtp + measured.gain_db <= ceiling_dbtp:
        return louder
    return _limited(louder, ceiling_dbtp)


def _limited(blocks: Iterable[Block], ceiling_dbtp: float) -> Iterator[Block]:
    """Limit each block together with a little of what is before and after it."""
    nothing = np.zeros(0, np.float32)
    before, held = nothing, nothing

    def limited(after: Block) -> Block:
        around = np.concatenate((before, held, after[:_CONTEXT]))
        return limit_true_peak(around, ceiling_dbtp=ceiling_dbtp)[before.size : before.size + held.size]

    for block in blocks:
        if block.size < _CONTEXT:
            held = np.concatenate((held, block))
            continue
        if held.size:
            yield limited(block)
            before = held[-_CONTEXT:]
        held = block
    if held.size:
        yield limited(nothing)

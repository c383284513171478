"""A lesson's sound as MP3 in memory.

MP3, because every browser of a school plays it: the free builds of Chromium and Firefox on Linux
lack AAC, and Safari took Opus late and not in every container (from memory). A constant bit rate,
because browsers find a place in it by counting bytes, so that jumps land within a frame of 24 ms.
24 kHz keeps all of a voice that was made at 22 kHz.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from typing import Final

import av
import numpy as np
from numpy.typing import NDArray

from caller.export.formats import Progress
from caller.export.programme import LOSSY_MARGIN_DB, Programme, levelled
from caller.sound.levels import SAMPLE_RATE

PAGE_RATE_HZ: Final = 24_000
BIT_RATE: Final = 40_000
_QUICK: Final = {"compression_level": "5"}  # of LAME's ten; its own choice takes up to half as long again


def lesson_sound(programme: Programme, *, progress: Progress = lambda _share: None) -> bytes:
    """Return a lesson's sound, at its level, as an MP3 file; `progress` is told the share done."""
    done = 0

    def told(blocks: Iterable[NDArray[np.float32]]) -> Iterator[NDArray[np.float32]]:
        nonlocal done
        for block in blocks:
            yield block
            done += block.size
            progress(done / programme.length)

    return mp3_bytes(told(levelled(programme.blocks(), programme.measured, margin_db=LOSSY_MARGIN_DB)))


def mp3_bytes(blocks: Iterable[NDArray[np.float32]]) -> bytes:
    """Return sound, given in blocks of mono at `SAMPLE_RATE`, as an MP3 file."""
    file = io.BytesIO()
    with av.open(file, "w", format="mp3") as container:
        stream = container.add_stream("libmp3lame", rate=PAGE_RATE_HZ, options=_QUICK)
        stream.layout = "mono"
        stream.bit_rate = BIT_RATE
        resampler = av.AudioResampler(format="fltp", layout="mono", rate=PAGE_RATE_HZ)
        done = 0
        for samples in blocks:
            frame = av.AudioFrame.from_ndarray(samples.reshape(1, -1), format="fltp", layout="mono")
            frame.sample_rate = SAMPLE_RATE
            frame.pts = done
            done += samples.size
            for resampled in resampler.resample(frame):
                container.mux(stream.encode(resampled))
        for resampled in resampler.resample(None):
            container.mux(stream.encode(resampled))
        container.mux(stream.encode(None))
    return file.getvalue()

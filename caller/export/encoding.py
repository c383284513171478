"""Pictures encoded in units that stand alone, so that loops can be repeated and finished units kept.

A unit starts with a key frame, no frame refers to a later one, and every frame gives one packet in order.
That makes units joinable end to end, and the packets of a loop repeatable. Two encoders work side by side;
each has its share of the units, and draws them too: only what has changed is drawn and converted, since
converting a whole 1080p picture to the encoder's colours costs half as much as encoding it, and most of a
lesson's picture stands still.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from itertools import islice
from threading import Event
from typing import Final

import av
import numpy as np
from av.codec.context import Flags
from av.video.codeccontext import VideoCodecContext
from av.video.frame import PictureType
from av.video.reformatter import ColorPrimaries, ColorRange, Colorspace, ColorTrc, VideoReformatter
from numpy.typing import NDArray

from caller.export.units import Unit
from caller.screen.figures_on_stage import KeptFigures
from caller.screen.raster import Box, Raster
from caller.screen.scene import Scene
from caller.screen.theme import Theme

MOST_ENCODERS: Final = 2
MOST_THREADS: Final = 2
"""Encoders, and threads of each. All hold pictures of their own, and 1080p is to stay under 400 MB.

A second encoder comes before second threads: with two threads one encoder spends 8.0 ms of processor time on
a 1080p frame of a lesson, with one 7.1 ms, and drawing, which takes 2 ms, would stay on one processor.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class VideoFormat:
    """What pictures are encoded as."""

    codec: str
    options: tuple[tuple[str, str], ...]


# `veryfast` without B-frames took 7.9 ms of one core for a 1080p frame of a lesson, against 13.4 ms with them
# and 6.8 ms for `superfast`, which writes twice as many bits (672 against 1,422 kbit/s).
# Looking 2 frames ahead in place of 10 takes 50 MB less in each encoder, and 8 % fewer bits at 50 dB in place
# of 51 dB (both against the same pictures nearly without loss).
H264: Final = VideoFormat(
    codec="libx264",
    options=(("preset", "veryfast"), ("crf", "20"), ("bf", "0"), ("rc-lookahead", "2"), ("forced-idr", "1")),
)
VP9: Final = VideoFormat(
    codec="libvpx-vp9",
    options=(
        ("deadline", "realtime"),
        ("cpu-used", "8"),
        ("row-mt", "1"),
        ("tile-columns", "2"),
        ("lag-in-frames", "0"),
        ("auto-alt-ref", "0"),
        ("crf", "30"),
        ("b", "0"),
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class VideoLook:
    """How pictures are to be drawn and encoded."""

    size: tuple[int, int]
    fps: int
    theme: Theme
    format: VideoFormat


def encoders_and_threads() -> tuple[int, int]:
    """Return how many encoders work side by side on this machine, and the threads of each."""
    processors = os.cpu_count() or 1
    encoders = min(processors, MOST_ENCODERS)
    return encoders, min(processors // encoders, MOST_THREADS)


def open_encoder(look: VideoLook, *, threads: int = 1) -> VideoCodecContext:
    """Return an encoder with so many threads."""
    encoder = av.CodecContext.create(look.format.codec, "w")
    assert isinstance(encoder, VideoCodecContext)
    set_up(encoder, look)
    encoder.thread_count = threads
    encoder.flags |= Flags.global_header
    return encoder


def set_up(encoder: VideoCodecContext, look: VideoLook) -> None:
    """Set an encoder (or a stream's own) up for `look`, in one thread; colours are BT.709, studio levels."""
    encoder.width, encoder.height = look.size
    encoder.pix_fmt = "yuv420p"
    encoder.time_base, encoder.framerate = Fraction(1, look.fps), Fraction(look.fps)
    encoder.colorspace, encoder.color_range = Colorspace.ITU709, ColorRange.MPEG
    encoder.color_primaries, encoder.color_trc = ColorPrimaries.BT709, ColorTrc.BT709
    encoder.gop_size = 10 * look.fps
    encoder.thread_count = 1
    encoder.options = dict(look.format.options)


@contextmanager
def encoded_beside(
    units: Sequence[Unit], scene_of: Callable[[int], Scene], look: VideoLook
) -> Iterator[Iterator[tuple[Unit, list[bytes]]]]:
    """Lend the units as they come, with a packet for each of their drawn frames.

    They are made from now on, in threads beside whatever else a video asks for, until the context ends.

    Parameters
    ----------
    units
        Any units of the lesson, in order.
    scene_of
        What a frame shows, by its number. It is called from several threads.
    look
        How it is drawn and encoded.
    """
    stopping = Event()
    encoders, threads = encoders_and_threads()
    shares = _shares(units, encoders)
    share_of = {unit: number for number, share in enumerate(shares) for unit in share}
    figures = KeptFigures(_FIGURES_BYTES)
    encoded = [_encode_in_turn(share, scene_of, look, threads, stopping, figures) for share in shares]
    workers = [ThreadPoolExecutor(1, thread_name_prefix="encoder") for _ in shares]
    try:
        coming = deque(workers[share_of[unit]].submit(next, encoded[share_of[unit]]) for unit in units)
        yield (coming.popleft().result() for _ in units)
    finally:
        stopping.set()
        for worker in workers:
            worker.shutdown(cancel_futures=True)


def _shares(units: Sequence[Unit], count: int) -> list[list[Unit]]:
    """Deal the units out, each to the share that has the fewest frames to draw so far."""
    shares: list[list[Unit]] = [[] for _ in range(count)]
    for unit in units:
        min(shares, key=lambda share: sum(one.drawn for one in share)).append(unit)
    return shares


def _encode_in_turn(
    units: Sequence[Unit],
    scene_of: Callable[[int], Scene],
    look: VideoLook,
    threads: int,
    stopping: Event,
    figures: KeptFigures,
) -> Iterator[tuple[Unit, list[bytes]]]:
    """Yield the units with their packets, drawn and encoded one after another until `stopping` is set."""
    encoder = open_encoder(look, threads=threads)
    painter = Painter(*look.size, look.theme, figures)

    def packets() -> Iterator[bytes]:
        pushed = 0
        for unit in units:
            for number in range(unit.start, unit.start + unit.drawn):
                if stopping.is_set():
                    return
                frame = painter.paint(scene_of(number))
                key = unit.is_key(number - unit.start, look.fps)
                frame.pict_type = PictureType.I if key else PictureType.NONE
                frame.pts, frame.time_base = pushed, encoder.time_base
                yield from map(bytes, encoder.encode(frame))
                pushed += 1
        yield from map(bytes, encoder.encode(None))

    coming = packets()
    for unit in units:
        yield unit, list(islice(coming, unit.drawn))


_FIGURES_BYTES = 24_000_000  # with more of them kept less is drawn; at 1080p all is to stay under 400 MB

Pixels = NDArray[np.uint8]


class Painter:
    """Paints one scene after another into the same frame.

    Parameters
    ----------
    figures
        Where drawn figures are kept: painters that paint parts of one lesson side by side share them.

    Attributes
    ----------
    frame
        The picture in YUV 4:2:0 (BT.709, studio levels). The next scene is painted over it: copy it first.
    """

    def __init__(self, width: int, height: int, theme: Theme, figures: KeptFigures | None = None) -> None:
        self._raster = Raster(width, height, figures=figures)
        self._theme = theme
        self._reformatter = VideoReformatter()
        self.frame = _blank(width, height)
        self._planes = _planes_of(self.frame)

    def paint(self, scene: Scene) -> av.VideoFrame:
        """Paint `scene` and return `frame`."""
        for box in self._raster.draw_changes(scene, self._theme):
            self._convert(self._raster.pixels, box)
        return self.frame

    def _convert(self, pixels: Pixels, box: Box) -> None:
        left, top, right, bottom = box
        drawn = av.VideoFrame.from_numpy_buffer(pixels[top:bottom, left:right], format="bgra")
        converted = self._reformatter.reformat(
            drawn,
            format="yuv420p",
            dst_colorspace=Colorspace.ITU709,
            dst_color_range=ColorRange.MPEG,
            threads=1,
        )
        for share, (into, part) in zip(
            (1, 2, 2), zip(self._planes, _planes_of(converted), strict=True), strict=True
        ):
            into[top // share : bottom // share, left // share : right // share] = part


def _blank(width: int, height: int) -> av.VideoFrame:
    """Return a frame of the encoder's kind: YUV 4:2:0, BT.709, studio levels."""
    frame = av.VideoFrame(width, height, "yuv420p")
    frame.colorspace, frame.color_range = Colorspace.ITU709, ColorRange.MPEG
    return frame


def _planes_of(frame: av.VideoFrame) -> list[Pixels]:
    """Return the planes of a frame as arrays onto its own memory."""
    return [
        np.frombuffer(memoryview(plane), np.uint8).reshape(-1, plane.line_size)[: plane.height, : plane.width]
        for plane in frame.planes
    ]

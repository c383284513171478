"""Pictures encoded in units that stand alone, so that loops can be repeated and finished units kept.

A unit starts with a key frame, no frame refers to a later one, and every frame gives one packet in order.
That makes units joinable end to end, and the packets of a loop repeatable. One encoder does all of them, in
a thread of its own: the next picture is drawn meanwhile.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

import av
from av.codec.context import Flags
from av.video.codeccontext import VideoCodecContext
from av.video.frame import PictureType
from av.video.reformatter import ColorPrimaries, ColorRange, Colorspace, ColorTrc

from caller.export.painting import Painter, blank, planes_of
from caller.export.pictures import Unit
from caller.screen.scene import Scene
from caller.screen.theme import Theme

MOST_THREADS: Final = 4
"""Each thread of an encoder holds pictures of its own, and memory is promised to stay under 400 MB."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VideoFormat:
    """What pictures are encoded as."""

    codec: str
    options: tuple[tuple[str, str], ...]


# `veryfast` without B-frames took 7.9 ms of one core for a 1080p frame of a lesson, against 13.4 ms with them
# and 6.8 ms for `superfast`, which writes twice as many bits (672 against 1,422 kbit/s).
# Looking 5 frames ahead in place of 10 takes 38 MB less, and the same bits.
H264: Final = VideoFormat(
    codec="libx264",
    options=(("preset", "veryfast"), ("crf", "20"), ("bf", "0"), ("rc-lookahead", "5"), ("forced-idr", "1")),
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
class Look:
    """How pictures are to be drawn and encoded."""

    size: tuple[int, int]
    fps: int
    theme: Theme
    format: VideoFormat


def open_encoder(look: Look) -> VideoCodecContext:
    """Return an encoder that works on every core."""
    encoder = av.CodecContext.create(look.format.codec, "w")
    assert isinstance(encoder, VideoCodecContext)
    set_up(encoder, look)
    encoder.flags |= Flags.global_header
    return encoder


def set_up(encoder: VideoCodecContext, look: Look) -> None:
    """Set an encoder (or a stream's own) up for `look`; colours are BT.709 with studio levels."""
    encoder.width, encoder.height = look.size
    encoder.pix_fmt = "yuv420p"
    encoder.time_base, encoder.framerate = Fraction(1, look.fps), Fraction(look.fps)
    encoder.colorspace, encoder.color_range = Colorspace.ITU709, ColorRange.MPEG
    encoder.color_primaries, encoder.color_trc = ColorPrimaries.BT709, ColorTrc.BT709
    encoder.gop_size = 10 * look.fps
    encoder.thread_count = min(os.cpu_count() or 1, MOST_THREADS)
    encoder.options = dict(look.format.options)


def encode(
    units: Iterable[Unit], scene_of: Callable[[int], Scene], look: Look
) -> Iterator[tuple[Unit, list[bytes]]]:
    """Yield the units with a packet for each of their drawn frames.

    Parameters
    ----------
    units
        Any units of the lesson, in order.
    scene_of
        What a frame shows, by its number.
    look
        How it is drawn and encoded.
    """
    encoder = open_encoder(look)
    painter = Painter(*look.size, look.theme)
    frames = [blank(*look.size), blank(*look.size)]  # one is being encoded, the other is filled
    planes = [planes_of(frame) for frame in frames]
    open_units: list[Unit] = []  # those whose packets have not all come
    packets: list[bytes] = []
    pushed = 0

    def whole() -> Iterator[tuple[Unit, list[bytes]]]:
        while open_units and len(packets) >= open_units[0].drawn:
            unit = open_units.pop(0)
            yield unit, packets[: unit.drawn]
            del packets[: unit.drawn]

    def encoded(frame: av.VideoFrame | None) -> list[bytes]:
        return [bytes(packet) for packet in encoder.encode(frame)]

    with ThreadPoolExecutor(max_workers=1, thread_name_prefix="encoder") as aside:
        under_way: Future[list[bytes]] | None = None
        for unit in units:
            open_units.append(unit)
            for number in range(unit.start, unit.start + unit.drawn):
                painter.paint(scene_of(number))
                for into, part in zip(planes[pushed % 2], painter.planes, strict=True):
                    into[:] = part
                frame = frames[pushed % 2]
                frame.pict_type = PictureType.I if number == unit.start else PictureType.NONE
                frame.pts, frame.time_base = pushed, encoder.time_base
                if under_way is not None:
                    packets += under_way.result()
                under_way = aside.submit(encoded, frame)
                pushed += 1
            yield from whole()
        if under_way is not None:
            packets += under_way.result()
        packets += encoded(None)
    yield from whole()

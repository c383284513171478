"""Scenes painted as frames for an encoder, drawing and converting only what has changed since the last one.

Converting a whole 1080p picture to the encoder's colours costs half as much as encoding it, and most of a
lesson's picture stands still.
"""

from __future__ import annotations

import av
import numpy as np
from av.video.reformatter import ColorRange, Colorspace, VideoReformatter
from numpy.typing import NDArray

from caller.screen.raster import Box, Raster
from caller.screen.scene import Scene
from caller.screen.theme import Theme

_KEPT_PICTURES = 1  # of memory for figures; each of two encoders has its own, and 400 MB are the limit

Pixels = NDArray[np.uint8]


class Painter:
    """Paints one scene after another into the same frame.

    Attributes
    ----------
    frame
        The picture in YUV 4:2:0 (BT.709, studio levels). The next scene is painted over it: copy it first.
    """

    def __init__(self, width: int, height: int, theme: Theme) -> None:
        self._raster = Raster(width, height, keeps=_KEPT_PICTURES)
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

"""The maker's pictures as pixels: dials and moving figures, drawn by the same code as in the hall."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.clock.times import ClockTime
from caller.moves.poses import animation, pose
from caller.screen.figure import LOOKS, FigureColours, draw_figure
from caller.screen.raster import Raster
from caller.screen.theme import LIGHT
from caller.screen.worksheet import draw_plain_dial

Pixels = NDArray[np.uint8]
"""Shape (height, width, 4), blue, green, red, alpha, premultiplied."""

_STANDING: Final = 0.66  # of the picture's height; arms reach a quarter higher, and jumps a little more
_GROUND: Final = 0.88
_GREY: Final = (0.114, 0.587, 0.299)  # how bright blue, green and red look: ITU-R BT.601
_FAINT: Final = 0.35
_MOMENTS: Final = 12


@lru_cache(maxsize=256)
def dial_pixels(time: ClockTime, size: int) -> Pixels:
    """Return a dial that fills a square of `size` pixels, on nothing."""
    raster = Raster(size, size)
    draw_plain_dial(raster.canvas, time, size=size)
    return raster.pixels


def move_pixels(slug: str, phase: float, size: int, *, fits: bool) -> Pixels:
    """Return a square picture of a move at a phase of its loop, 0 to 1; what does not fit is pale."""
    return _move_pixels(slug, round(phase * _MOMENTS) % _MOMENTS, size, fits)


@lru_cache(maxsize=320)  # what can be seen at once, and some that were just scrolled away
def _move_pixels(slug: str, moment: int, size: int, fits: bool) -> Pixels:
    raster = Raster(size, size)
    raster.canvas.clear(LIGHT.face)
    draw_figure(
        raster.canvas,
        pose(slug, moment / _MOMENTS),
        view=animation(slug).view,
        centre_x=size / 2,
        ground_y=_GROUND * size,
        height=_STANDING * size,
        look=LOOKS[sum(map(ord, slug)) % len(LOOKS)],
        colours=FigureColours(),
    )
    if not fits:
        grey = raster.pixels[..., :3].astype(np.float32) @ np.array(_GREY, np.float32)
        raster.pixels[..., :3] = (255 - _FAINT * (255 - grey)).astype(np.uint8)[..., None]
    return raster.pixels

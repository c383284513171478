"""A move as a row of pictures, evenly spaced over its loop."""

from __future__ import annotations

from typing import Final

from caller.screen.skia_door import skia

from caller.moves.poses import animation, pose
from caller.screen.figure import LOOKS, FigureColours, Look, draw_figure

_PAPER: Final = 0xFFFFFFFF
_FLOOR: Final = 0xFFB9BDC4


def filmstrip(
    slug: str, *, frames: int = 6, width: int = 900, silhouette: bool = False, look: Look = LOOKS[0]
) -> skia.Image:
    """Return `frames` moments of the move `slug` side by side, `width` pixels wide.

    With `silhouette`, everything but the outline of the whole figure is hidden.
    """
    cell = width / frames
    height = cell / 0.78
    surface = skia.Surface(width, round(height * 1.42))
    canvas = surface.getCanvas()
    canvas.clear(_PAPER)
    ground = height * 1.31
    canvas.drawLine(0, ground, width, ground, skia.Paint(Color=_FLOOR, StrokeWidth=1.5))
    colours = FigureColours(silhouette=0xFF1D1F24) if silhouette else FigureColours()
    moving = animation(slug)
    for frame in range(frames):
        draw_figure(
            canvas,
            pose(slug, frame / frames),
            view=moving.view,
            centre_x=cell * (frame + 0.5),
            ground_y=ground,
            height=height,
            look=look,
            colours=colours,
        )
    return surface.makeImageSnapshot()

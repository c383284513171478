"""A move as a row of pictures, evenly spaced over its loop."""

from __future__ import annotations

from typing import Final

from caller.moves.poses import Joint, animation, loop, pose
from caller.screen.figure import LOOKS, FigureColours, Look, draw_figure
from caller.screen.skia_door import skia

_PAPER: Final = 0xFFFFFFFF
_FLOOR: Final = 0xFFB9BDC4
_INK: Final = 0xFF1D1F24
_SHAPE: Final = 1.45

# Around the joints: limbs and head; behind the seat: the wheels.
_FLESH: Final = 0.06
_HEAD: Final = 0.13
_SEAT_REACH: Final = 0.30


def filmstrip(
    slug: str, *, frames: int = 6, width: int = 900, silhouette: bool = False, look: Look = LOOKS[0]
) -> skia.Image:
    """Return `frames` moments of the move `slug` side by side, `width` pixels wide.

    With `silhouette`, everything but the outline of the whole figure is hidden.
    """
    cell = width / frames
    left, right, up, down = _extent(slug)
    strip_height = round(cell * _SHAPE)
    # Every move is as large as its cell allows, in width or in height.
    height = min(cell * 0.96 / (left + right), strip_height / (max(up, 1.15) + down))
    ground = strip_height - down * height
    surface = skia.Surface(width, strip_height)
    canvas = surface.getCanvas()
    canvas.clear(_PAPER)
    canvas.drawLine(0, ground, width, ground, skia.Paint(Color=_FLOOR, StrokeWidth=1.5))
    colours = FigureColours(silhouette=_INK) if silhouette else FigureColours()
    moving = animation(slug)
    for frame in range(frames):
        draw_figure(
            canvas,
            pose(slug, frame / frames),
            view=moving.view,
            centre_x=cell * (frame + 0.5) + height * (left - right) / 2,
            ground_y=ground,
            height=height,
            look=look,
            colours=colours,
        )
    return surface.makeImageSnapshot()


def _extent(slug: str) -> tuple[float, float, float, float]:
    """Return how far a move reaches left, right, up and down of its place on the floor, in body units."""
    moving = animation(slug)
    seen = moving.view.project(loop(slug))
    head = seen[:, Joint.HEAD]
    left = max(_FLESH - seen[..., 0].min(), _HEAD - head[:, 0].min(), _SEAT_REACH if moving.seated else 0.0)
    right = max(_FLESH + seen[..., 0].max(), _HEAD + head[:, 0].max())
    up = max(_FLESH + seen[..., 1].max(), _HEAD + head[:, 1].max())
    return float(left), float(right), float(up), float(_FLESH - seen[..., 1].min())

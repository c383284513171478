"""Heads: a face without features under hair or a scarf, from any side."""

from __future__ import annotations

from math import hypot
from typing import Final

from caller.moves.poses.skeleton import FACE_AHEAD, HEAD_CENTRE
from caller.screen.figures.looks import Hair, Look
from caller.screen.figures.placement import Placement, Spot
from caller.screen.figures.shapes import Circle, Fill

Shape = tuple[tuple[float, float, float, float], ...]
"""Balls round which a shape is stretched: ahead, up, left of the head's middle, and radius, in body units."""

_SKULL: Final[Shape] = ((-0.006, 0.010, 0.0, 0.085), (0.0, -0.012, 0.0, 0.074))
_FACE: Final[Shape] = ((0.020, -0.012, 0.0, 0.070), (0.024, -0.030, 0.0, 0.058))
_FACES: Final[dict[Hair, Shape]] = {
    "cropped": ((0.012, -0.004, 0.0, 0.076), (0.018, -0.026, 0.0, 0.062)),
    "scarf": ((0.030, -0.004, 0.0, 0.058), (0.032, -0.022, 0.0, 0.052)),
}
_BEHIND: Final[dict[Hair, tuple[Shape, ...]]] = {
    "tail": (((-0.085, 0.045, 0.0, 0.026), (-0.125, -0.010, 0.0, 0.034), (-0.115, -0.075, 0.0, 0.016)),),
    "puffs": (((-0.03, 0.065, 0.075, 0.042),), ((-0.03, 0.065, -0.075, 0.042),)),
    "curls": (
        ((0.02, 0.07, 0.045, 0.042),),
        ((0.02, 0.07, -0.045, 0.042),),
        ((-0.05, 0.055, 0.04, 0.042),),
        ((-0.05, 0.055, -0.04, 0.042),),
        ((-0.03, 0.0, 0.07, 0.042),),
        ((-0.03, 0.0, -0.07, 0.042),),
        ((-0.075, 0.0, 0.0, 0.042),),
        ((-0.04, 0.085, 0.0, 0.042),),
    ),
    "bob": (
        (
            (-0.02, 0.0, 0.045, 0.048),
            (-0.02, 0.0, -0.045, 0.048),
            (-0.03, -0.062, -0.05, 0.034),
            (-0.03, -0.062, 0.05, 0.034),
        ),
    ),
    "scarf": (((-0.012, 0.0, 0.0, 0.088), (-0.004, -0.085, 0.0, 0.058)),),
}

# How far a face may look away before only hair is seen, as a share of looking straight at the eye.
_PROFILE: Final = -0.35


def head_fills(throat: Spot, centre: Spot, face: Spot, placement: Placement, look: Look) -> list[Fill]:
    """Return the fills of a head, back to front.

    Parameters
    ----------
    throat, centre, face
        Where the throat, the middle of the head and the point before the face are seen.
    placement
        Size and floor of the figure; hair lies on the floor rather than going through it.
    look
        Hair and skin.
    """
    height = placement.height
    up = [(centre[axis] - throat[axis]) / (HEAD_CENTRE * height) for axis in (0, 1)]
    ahead = [(face[axis] - centre[axis]) / (FACE_AHEAD * height) for axis in (0, 1)]
    towards = (face[2] - centre[2]) / FACE_AHEAD
    # The head's own left, on the picture: across up, and the longer the more the face looks at the eye.
    length = max(hypot(*up), 1e-6)
    left = (up[1] / length * -towards, up[0] / length * towards)

    def at(forward: float, upward: float, sideways: float, radius: float) -> Circle:
        x = centre[0] + height * (forward * ahead[0] + upward * up[0] + sideways * left[0])
        y = centre[1] + height * (forward * ahead[1] + upward * up[1] + sideways * left[1])
        return (x, min(y, placement.ground_y - radius * height), radius * height)

    def fill(colour: int, balls: Shape) -> Fill:
        return (colour, [at(*ball) for ball in balls])

    fills = [fill(look.hair, shape) for shape in (*_BEHIND.get(look.style, ()), _SKULL)]
    if towards > _PROFILE:
        fills.append(fill(look.skin, _FACES.get(look.style, _FACE)))
    return fills

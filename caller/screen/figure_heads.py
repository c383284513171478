"""Rounded shapes, circles joined by their tangents, and heads of them, with hair of many kinds or a scarf.

A head is 1/6.4 of the height at seven years (Snyder et al. 1977); the eyes lie just below its middle.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import acos, atan2, ceil, cos, floor, hypot, pi, sin
from typing import Final

from caller.moves.poses.skeleton import FACE_AHEAD, HEAD_CENTRE
from caller.screen.figure_looks import Hair, Look, Placement, Spot, mixed
from caller.screen.skia_door import skia

Circle = tuple[float, float, float]
"""Centre x, centre y, radius, on the picture (y down)."""

Fill = tuple[int, list[Circle]]
"""A colour, and the circles round which it is stretched."""

# Circles are drawn as convex polygons: twice as fast as arcs, and off by less than a hundredth of the radius.
_CORNERS: Final = 24
_STEP: Final = 2 * pi / _CORNERS
_RING: Final = {
    index: (cos(index * _STEP), sin(index * _STEP)) for index in range(-2 * _CORNERS, 2 * _CORNERS + 1)
}


def add_shape(path: skia.Path, circles: Sequence[Circle], swell: float = 0.0) -> None:
    """Add one circle, or several joined in a ring, to `path`, each radius larger by `swell`.

    Every contour runs clockwise, so that shapes in one path add up.
    """
    swollen = [(x, y, radius + swell) for x, y, radius in circles]
    if len(swollen) == 1:
        path.addCircle(*swollen[0])
    elif len(swollen) == 2:
        _add_capsule(path, *swollen)
    else:
        for first, second in zip(swollen, swollen[1:] + swollen[:1], strict=True):
            _add_capsule(path, first, second)
        _add_polygon(path, swollen)


def _add_capsule(path: skia.Path, first: Circle, second: Circle) -> None:
    (x0, y0, r0), (x1, y1, r1) = first, second
    distance = hypot(x1 - x0, y1 - y0)
    if distance <= abs(r0 - r1) + 1e-6:
        path.addCircle(*max(first, second, key=lambda circle: circle[2]))
        return
    along = atan2(y1 - y0, x1 - x0)
    tangent = acos((r0 - r1) / distance)
    # Corners nearer to the line onwards than the tangent lie on the second circle, the others on the first.
    start, stop = ceil((along - tangent) / _STEP), floor((along + tangent) / _STEP) + 1
    # Corner by corner: a list of the library's points takes twice as long to make as the path.
    line_to = path.lineTo
    c, s = _RING[start]
    path.moveTo(x1 + r1 * c, y1 + r1 * s)
    for c, s in map(_RING.__getitem__, range(start + 1, stop)):
        line_to(x1 + r1 * c, y1 + r1 * s)
    for c, s in map(_RING.__getitem__, range(stop, start + _CORNERS)):
        line_to(x0 + r0 * c, y0 + r0 * s)
    path.close()


def _add_polygon(path: skia.Path, circles: Sequence[Circle]) -> None:
    area = sum(
        first[0] * second[1] - second[0] * first[1]
        for first, second in zip(circles, [*circles[1:], circles[0]], strict=True)
    )
    corners = [skia.Point(x, y) for x, y, _ in circles]
    path.addPoly(corners if area > 0 else corners[::-1], True)


Shape = tuple[tuple[float, float, float, float], ...]
"""Balls round which a shape is stretched: ahead, up, left of the head's middle, and radius, in body units."""

_SKULL: Final[Shape] = ((-0.006, 0.004, 0.0, 0.076), (0.0, -0.014, 0.0, 0.066))
_FACE: Final[Shape] = ((0.016, -0.012, 0.0, 0.064), (0.020, -0.030, 0.0, 0.053))
_HANGS: Final = ("tail", "plaits")  # hair that is tied at one end, and hangs from there
_FACES: Final[dict[Hair, Shape]] = {
    "cropped": ((0.010, -0.004, 0.0, 0.069), (0.015, -0.026, 0.0, 0.057)),
    "scarf": ((0.026, -0.006, 0.0, 0.054), (0.028, -0.022, 0.0, 0.048)),
}
_BEHIND: Final[dict[Hair, tuple[Shape, ...]]] = {
    "tail": (((-0.075, 0.040, 0.0, 0.024), (-0.112, -0.010, 0.0, 0.031), (-0.104, -0.070, 0.0, 0.015)),),
    "plaits": (
        ((-0.02, -0.02, 0.066, 0.020), (-0.02, -0.085, 0.074, 0.017), (-0.02, -0.115, 0.074, 0.011)),
        ((-0.02, -0.02, -0.066, 0.020), (-0.02, -0.085, -0.074, 0.017), (-0.02, -0.115, -0.074, 0.011)),
    ),
    "puffs": (((-0.026, 0.058, 0.068, 0.038),), ((-0.026, 0.058, -0.068, 0.038),)),
    "curls": (
        ((0.018, 0.062, 0.040, 0.038),),
        ((0.018, 0.062, -0.040, 0.038),),
        ((-0.045, 0.05, 0.036, 0.038),),
        ((-0.045, 0.05, -0.036, 0.038),),
        ((-0.026, 0.0, 0.063, 0.038),),
        ((-0.026, 0.0, -0.063, 0.038),),
        ((-0.066, 0.0, 0.0, 0.038),),
        ((-0.036, 0.076, 0.0, 0.038),),
    ),
    "scarf": (((-0.010, 0.0, 0.0, 0.079), (-0.004, -0.078, 0.0, 0.052)),),
}

# The features: ahead, up, and to either side of the head's middle.
_EYE: Final = (0.058, -0.012, 0.028, 0.0120)
_EAR: Final = (-0.004, -0.014, 0.064, 0.014)
_MOUTH: Final = (
    (0.040, -0.0425, 0.026, 0.0048),
    (0.062, -0.050, 0.010, 0.0056),
    (0.062, -0.050, -0.010, 0.0056),
    (0.040, -0.0425, -0.026, 0.0048),
)
_NOSE: Final = (0.075, -0.026, 0.0, 0.0080)
_INK: Final = 0xFF1D1611
_GLASSES: Final = 0xFF20303F
_AID: Final = 0xFF1E8FA8

# How far a face may look away before only hair is seen, as a share of looking straight at the eye.
_PROFILE: Final = -0.3


def head_fills(
    throat: Spot,
    centre: Spot,
    face: Spot,
    placement: Placement,
    look: Look,
    drag: tuple[float, float],
) -> tuple[list[Fill], list[Fill]]:
    """Return the fills of a head, back to front: its shape, with a line of its own, and the features on it.

    Parameters
    ----------
    throat, centre, face
        Where the throat, the middle of the head and the point before the face are seen.
    placement
        Size and floor of the figure; hair lies on the floor rather than going through it.
    look
        Hair and skin.
    drag
        How far what hangs loose is seen to lag behind the head, in body units, y down.
    """
    height = placement.height
    up = [(centre[axis] - throat[axis]) / (HEAD_CENTRE * height) for axis in (0, 1)]
    ahead = [(face[axis] - centre[axis]) / (FACE_AHEAD * height) for axis in (0, 1)]
    up_near, ahead_near = (centre[2] - throat[2]) / HEAD_CENTRE, (face[2] - centre[2]) / FACE_AHEAD
    towards = ahead_near
    # The head's own left is across up and ahead; on the picture y runs down.
    left = (
        -up[1] * ahead_near + up_near * ahead[1],
        -(up_near * ahead[0] - up[0] * ahead_near),
    )
    left_near = up[1] * ahead[0] - up[0] * ahead[1]

    def at(forward: float, upward: float, sideways: float, radius: float, loose: float = 0.0) -> Circle:
        x, y = (
            centre[axis]
            + height
            * (forward * ahead[axis] + upward * up[axis] + sideways * left[axis] + loose * drag[axis])
            for axis in (0, 1)
        )
        return (x, min(y, placement.ground_y - radius * height), radius * height)

    def nearness(forward: float, sideways: float) -> float:
        """Return how far a point of the head looks at the eye, from -1 to 1."""
        return (forward * ahead_near + sideways * left_near) / max(hypot(forward, sideways), 1e-6)

    def fill(colour: int, balls: Shape) -> Fill:
        return (colour, [at(*ball) for ball in balls])

    behind = _BEHIND.get(look.style, ())
    if look.style in _HANGS:
        hair = [
            (look.hair, [at(*ball, loose=n / (len(shape) - 1)) for n, ball in enumerate(shape)])
            for shape in behind
        ]
    else:
        hair = [fill(look.hair, shape) for shape in behind]
    shape = [*hair, fill(look.hair, _SKULL)]
    if towards <= _PROFILE:
        return shape, []
    shape.append(fill(look.skin, _FACES.get(look.style, _FACE)))
    ears, features = _features(look, fill, nearness)
    return shape + ears, features


def _features(
    look: Look, fill: Callable[[int, Shape], Fill], nearness: Callable[[float, float], float]
) -> tuple[list[Fill], list[Fill]]:
    """Return the ears, and eyes, nose and mouth with what is worn, as far as they are on the near side."""
    ears: list[Fill] = []
    fills: list[Fill] = []
    forward, upward, aside, radius = _EYE
    shade = mixed(look.skin, _INK, 0.16)
    for sideways in (aside, -aside):
        if nearness(_EAR[0], sideways) > 0.25 and look.style != "scarf":
            ear = (_EAR[0], _EAR[1], _EAR[2] if sideways > 0 else -_EAR[2], _EAR[3])
            ears.append(fill(look.skin, (ear,)))
            if look.hearing_aid:
                behind = (ear[0] - 0.012, ear[1] + 0.012, ear[2], 0.011)
                ears.append(fill(_AID, (behind, (ear[0] - 0.014, ear[1] - 0.006, ear[2], 0.008))))
        if nearness(forward, sideways) < 0.22:
            continue
        if look.glasses:
            fills.append(fill(_GLASSES, ((forward, upward, sideways, 0.0260),)))
            fills.append(fill(mixed(look.skin, 0xFFFFFFFF, 0.3), ((forward, upward, sideways, 0.0205),)))
        fills.append(fill(_INK, ((forward, upward, sideways, radius),)))
    fills.append(fill(shade, (_NOSE,)))
    seen = [ball for ball in _MOUTH if nearness(ball[0], ball[2]) > 0.12]
    fills += [fill(_INK, pair) for pair in pairwise(seen)]
    return ears, fills

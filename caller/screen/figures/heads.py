"""Heads: a face without features under hair or a scarf, from any side."""

from __future__ import annotations

from math import hypot

from caller.moves.poses.skeleton import FACE_AHEAD, HEAD_CENTRE
from caller.screen.figures.looks import Look
from caller.screen.figures.placement import Placement, Spot
from caller.screen.figures.shapes import Circle, Fill


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

    skull = [at(-0.006, 0.010, 0.0, 0.085), at(0.0, -0.012, 0.0, 0.074)]
    features = [at(0.020, -0.012, 0.0, 0.070), at(0.024, -0.030, 0.0, 0.058)]
    back: list[Fill] = []
    if look.style == "tail":
        back.append(
            (
                look.hair,
                [
                    at(-0.085, 0.045, 0.0, 0.026),
                    at(-0.125, -0.010, 0.0, 0.034),
                    at(-0.115, -0.075, 0.0, 0.016),
                ],
            )
        )
    elif look.style == "puffs":
        back += [(look.hair, [at(-0.03, 0.065, side, 0.042)]) for side in (-0.075, 0.075)]
    elif look.style == "curls":
        back += [
            (look.hair, [at(forward, upward, side, 0.042)])
            for forward, upward, side in (
                (0.02, 0.07, 0.045),
                (0.02, 0.07, -0.045),
                (-0.05, 0.055, 0.04),
                (-0.05, 0.055, -0.04),
                (-0.03, 0.0, 0.07),
                (-0.03, 0.0, -0.07),
                (-0.075, 0.0, 0.0),
                (-0.04, 0.085, 0.0),
            )
        ]
    elif look.style == "bob":
        back.append(
            (
                look.hair,
                [
                    at(-0.02, 0.0, 0.045, 0.048),
                    at(-0.02, 0.0, -0.045, 0.048),
                    at(-0.03, -0.062, -0.05, 0.034),
                    at(-0.03, -0.062, 0.05, 0.034),
                ],
            )
        )
    elif look.style == "scarf":
        back.append((look.hair, [at(-0.012, 0.0, 0.0, 0.088), at(-0.004, -0.085, 0.0, 0.058)]))
    head: list[Fill] = [(look.hair, skull)]
    if towards > -0.35:
        if look.style == "cropped":
            features = [at(0.012, -0.004, 0.0, 0.076), at(0.018, -0.026, 0.0, 0.062)]
        elif look.style == "scarf":
            features = [at(0.030, -0.004, 0.0, 0.058), at(0.032, -0.022, 0.0, 0.052)]
        head.append((look.skin, features))
    return back + head

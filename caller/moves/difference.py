"""How different two moves look: a distance between their loops, in body heights."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np

from caller.moves.poses import MIRRORED, Joint, loop

TELLABLE: Final = 0.08
"""Two moves at least this different can be told apart at a glance."""

_MOMENTS: Final = 48

_SEEN: Final = tuple(
    joint
    for joint in Joint
    if joint.name.partition("_")[0] in {"PELVIS", "NECK", "HEAD", "SHOULDER", "ELBOW", "HAND", "KNEE", "ANKLE", "TOE"}
)


def difference(a: str, b: str) -> float:
    """Return how far apart the joints of two moves are over a loop, in body heights.

    Both loops are stretched to the same length. Seen from the front and from the side, the root mean square distance between the
    same joints is taken over the loop; the result is its least value over all starts of the second loop, and over that loop and
    its mirror image (left or right leg makes no other move). The difference is symmetric, and 0 for a move and itself.
    """
    return _difference(*sorted((a, b)))


@lru_cache(maxsize=None)
def _difference(a: str, b: str) -> float:
    first = loop(a, _MOMENTS)
    second = loop(b, _MOMENTS)
    mirrored = second[:, MIRRORED] * (-1.0, 1.0, 1.0)
    seen = list(_SEEN)
    least = np.inf
    for other in (second, mirrored):
        for shift in range(_MOMENTS):
            gap = first[:, seen] - np.roll(other, shift, axis=0)[:, seen]
            # Front and side planes share the height: each view's squared distance, then their mean.
            squared = (gap**2) @ np.array([0.5, 1.0, 0.5])
            least = min(least, float(squared.mean()))
    return float(np.sqrt(least))

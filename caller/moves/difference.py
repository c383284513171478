"""How different two moves look: a distance between their loops, in body heights."""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.moves.poses import MIRRORED, Joint, loop

TELLABLE: Final = 0.1377
"""Two moves at least this different, in body heights, can be told apart at a glance.

Drawn in the gap between two lists judged by eye from the filmstrips (own judgement; the tests hold both).
Pairs that a glance mixes up reach 0.137: lunges forwards and backwards, side bends and side stretches, squats
narrow and wide. Pairs that it does not start at 0.149: twists and rowing on a chair, star jumps and squats,
tree and aeroplane. The gap is narrow, and the line errs to the careful side of some pairs that could be told
apart. On a child of 1.25 m it is 17 cm for every joint all the time. Pace counts for nothing: a move done
slowly is still that move.
"""

_MOMENTS: Final = 48

_ROWS: Final = np.arange(_MOMENTS)[None, :]
_DIAGONALS: Final = (np.arange(_MOMENTS)[None, :] - np.arange(_MOMENTS)[:, None]) % _MOMENTS

_SEEN: Final = [
    joint
    for joint in Joint
    if joint.name.partition("_")[0]
    in {"PELVIS", "NECK", "HEAD", "SHOULDER", "ELBOW", "HAND", "KNEE", "ANKLE", "TOE"}
]


def difference(a: str, b: str) -> float:
    """Return how far apart the joints of two moves are over a loop, in body heights.

    Both loops are stretched to the same length and centred on their own place. The root mean square distance
    between the same joints is taken over the loop, seen from the front and from the side. The result is its
    least value over all starts of the second loop, as it is and as its mirror image (hopping on the other leg
    is no other move). It is symmetric, and 0 for a move and itself.
    """
    return _difference(*sorted((a, b)))


@cache
def _difference(a: str, b: str) -> float:
    first, second, mirrored = _features(a), _features(b), _features(b, mirror=True)
    # |x - y|² = |x|² + |y|² - 2 x·y, and only x·y depends on the start: one product's wrapped diagonals.
    meeting = max(
        np.max(np.sum((first @ other.T)[_ROWS, _DIAGONALS], axis=1)) for other in (second, mirrored)
    )
    squared = (np.sum(first**2) + np.sum(second**2) - 2 * meeting) / (_MOMENTS * len(_SEEN))
    return float(np.sqrt(max(squared, 0.0)))


@cache
def _features(slug: str, *, mirror: bool = False) -> NDArray[np.float64]:
    """Return what the two views show of a loop, one row a moment; the height is in both."""
    points = loop(slug, _MOMENTS)
    if mirror:
        points = points[:, MIRRORED] * (-1.0, 1.0, 1.0)
    # Where in its space a child does the move tells nothing about which move it is.
    points = points - points[:, Joint.PELVIS].mean(axis=0) * (1.0, 0.0, 1.0)
    weighted: NDArray[np.float64] = points[:, _SEEN] * np.sqrt([0.5, 1.0, 0.5])
    return weighted.reshape(_MOMENTS, -1)

"""The figure's proportions against children who were measured.

Source: Snyder, Schneider, Owings et al. 1977, *Anthropometry of infants, children and youths to age 18*
(UM-HSRI-77-17): medians over the individual records of children of 6.5 to 7.5 years, each measure as a share
of the child's own stature. A joint lies a little inside the landmark that was measured, and clothes
add to every breadth; what is allowed for that stands in each row.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.moves.poses import Joint, View, pose
from caller.moves.poses import skeleton as body
from caller.screen.figure import LOOKS, FigureColours, draw_figure
from caller.screen.skia_door import skia

TALL = 1000


@pytest.mark.parametrize(
    ("ours", "at_seven", "within"),
    [
        (body.THIGH, 0.236, 0.004),  # trochanter to tibiale
        (body.SHANK, 0.218, 0.004),  # tibiale to sphyrion
        (body.ANKLE_HEIGHT, 0.040, 0.002),
        (body.HIP_HEIGHT, 0.493, 0.006),  # trochanter height
        (
            body.UPPER_ARM,
            0.183 - 0.020,
            0.004,
        ),  # the joint lies about 0.02 under the acromion (own inference)
        (body.FOREARM, 0.146, 0.005),  # radiale to stylion
        (2 * body.CLAVICLE, 0.221, 0.040),  # biacromial breadth; the joints lie inside the acromia
    ],
)
def test_bones_are_as_long_as_those_of_a_child_of_seven(ours: float, at_seven: float, within: float) -> None:
    assert ours == pytest.approx(at_seven, abs=within)


@pytest.fixture(scope="module")
def outline() -> NDArray[np.bool_]:
    """Where a standing figure is drawn, one row for each thousandth of its height, from the crown down."""
    surface = skia.Surface(TALL, TALL + 100)
    draw_figure(
        surface.getCanvas(),
        pose("standing-ready", 0.0),
        view=View.FRONT,
        centre_x=TALL / 2,
        ground_y=TALL + 50,
        height=TALL,
        look=LOOKS[6],
        colours=FigureColours(silhouette=0xFF000000, shadow=0x00000000),
    )
    return np.asarray(surface.toarray()[..., 3] > 250)


def breadth(outline: NDArray[np.bool_], from_floor: float) -> float:
    """Return the breadth of the trunk or head at a height, without the arms that hang beside it."""
    row = outline[round(TALL + 50 - from_floor * TALL)]
    middle = TALL // 2
    left = middle - int(np.argmin(row[middle::-1])) if not row[: middle + 1].all() else 0
    right = middle + int(np.argmin(row[middle:]))
    return (right - left) / TALL


def test_the_figure_is_one_height_tall_and_six_to_seven_heads(outline: NDArray[np.bool_]) -> None:
    rows = np.flatnonzero(outline.any(axis=1))
    assert (rows[-1] - rows[0]) / TALL == pytest.approx(1.0, abs=0.035)  # the eye looks down a little
    head = pose("standing-ready", 0.0)[Joint.HEAD]
    # From the crown down, the outline has grown to the head's breadth and shrinks to the neck's at the chin.
    widths = np.array([outline[row].sum() for row in range(rows[0], rows[0] + 260)])
    widest = int(np.argmax(widths[:140]))
    neck = widest + int(np.argmax(widths[widest:] < 0.6 * widths[widest]))
    heads = TALL / neck
    assert 5.6 < heads < 6.9  # 6.4 at seven; hair adds to the head
    assert head[1] > 0.9


def test_the_head_is_as_broad_as_measured_with_hair(outline: NDArray[np.bool_]) -> None:
    assert breadth(outline, 0.92) == pytest.approx(0.116, abs=0.055)


def test_shoulders_are_as_broad_as_measured_with_a_shirt(outline: NDArray[np.bool_]) -> None:
    points = pose("standing-ready", 0.0).points
    assert breadth(outline, points[Joint.SHOULDER_L, 1]) == pytest.approx(0.242, abs=0.035)  # bideltoid

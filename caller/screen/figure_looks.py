"""How figures look: dressed and built as varied as a class, what the scene lends them, and where they
stand.

Colours are 0xAARRGGBB.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from caller.moves.poses import View

Colour = int
Hair = Literal["short", "cropped", "tail", "plaits", "puffs", "curls", "scarf"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """One figure's appearance.

    Attributes
    ----------
    skin, hair, shirt, bottoms, shoes
        Colours.
    style
        Shape of the hair or head covering.
    long_legs, long_sleeves
        Whether the clothes cover the whole leg and arm.
    breadth
        Width of limbs and trunk against the middle of the range.
    glasses, hearing_aid
        What is worn.
    blade
        The side, L or R, of a running blade in place of the lower leg; empty for none.
    wheelchair
        Whether the figure uses a wheelchair; such a look is for seated moves.
    """

    skin: Colour
    hair: Colour
    style: Hair
    shirt: Colour
    bottoms: Colour
    shoes: Colour
    long_legs: bool = False
    long_sleeves: bool = False
    breadth: float = 1.0
    glasses: bool = False
    hearing_aid: bool = False
    blade: Literal["", "L", "R"] = ""
    wheelchair: bool = False


LOOKS: Final[tuple[Look, ...]] = (
    Look(
        skin=0xFFC98F66,
        hair=0xFF33231B,
        style="short",
        shirt=0xFF2F6DB3,
        bottoms=0xFF2B3350,
        shoes=0xFFE9E6DF,
        glasses=True,
    ),
    Look(
        skin=0xFF6B4429,
        hair=0xFF17110E,
        style="puffs",
        shirt=0xFFD9822B,
        bottoms=0xFF3A3F47,
        shoes=0xFFE9E6DF,
        long_legs=True,
    ),
    Look(
        skin=0xFFF0C7A4,
        hair=0xFF9C5A2D,
        style="plaits",
        hearing_aid=True,
        shirt=0xFF3C8A5A,
        bottoms=0xFF34405C,
        shoes=0xFF4A4A52,
        breadth=0.92,
    ),
    Look(
        skin=0xFF8D5A3A,
        hair=0xFF1E1612,
        style="curls",
        shirt=0xFF8C4A8F,
        bottoms=0xFF2D3A3A,
        shoes=0xFFDAD7CF,
        breadth=1.14,
    ),
    Look(
        skin=0xFFB9784F,
        hair=0xFF4E6E8E,
        style="scarf",
        shirt=0xFF4E6E8E,
        bottoms=0xFF303646,
        shoes=0xFFE3E0D8,
        long_legs=True,
        long_sleeves=True,
    ),
    Look(
        skin=0xFFE8B58E,
        hair=0xFF1C1A1D,
        style="tail",
        shirt=0xFFB8443C,
        bottoms=0xFF4A4F5C,
        shoes=0xFFE9E6DF,
        breadth=1.06,
    ),
    Look(
        skin=0xFF4A2E1F,
        hair=0xFF0F0C0B,
        style="cropped",
        shirt=0xFF2E8C94,
        bottoms=0xFF453B35,
        shoes=0xFFD5D2CA,
        breadth=0.96,
        blade="R",
    ),
    Look(
        skin=0xFFD9A679,
        hair=0xFF5A3A22,
        style="short",
        shirt=0xFF5B7F2B,
        bottoms=0xFF2E3550,
        shoes=0xFF3B3B44,
        long_legs=True,
        wheelchair=True,
    ),
)
"""The figures to choose from; the last uses a wheelchair."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureColours:
    """Colours of the scene, 0xAARRGGBB.

    Attributes
    ----------
    outline
        The line round every limb; against the background it carries the contrast, whatever the clothes.
    shade
        What far limbs fade towards.
    shadow
        The shadow on the floor.
    frame, cushion
        Chairs.
    accent
        Bands round the limbs that do the move.
    silhouette
        If set, the whole figure is this one colour.
    """

    outline: Colour = 0xFF1D1F24
    shade: Colour = 0xFF6E5A4E
    shadow: Colour = 0xFF1D1F24
    frame: Colour = 0xFF6B7079
    cushion: Colour = 0xFF2E3138
    accent: Colour = 0xFFFFC72E
    silhouette: Colour | None = None


def mixed(first: Colour, second: Colour, share: float) -> Colour:
    """Return `first` with `share` of `second` mixed in, opaque."""
    result = 0xFF000000
    for shift in (0, 8, 16):
        a, b = (first >> shift) & 0xFF, (second >> shift) & 0xFF
        result |= round(a + (b - a) * share) << shift
    return result


Spot = tuple[float, float, float]
"""Picture x, picture y (down), and how much nearer than the figure's place, level, in body units."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """The point on the floor under the figure, the pixels of its standing height, and the view."""

    view: View
    centre_x: float
    ground_y: float
    height: float

    def spots(self, points: NDArray[np.float64]) -> list[Spot]:
        """Return where points in body units, shape (n, 3), fall on the picture."""
        seen = self.view.project(points)
        x, y = self.centre_x + self.height * seen[:, 0], self.ground_y - self.height * seen[:, 1]
        # Level, because an eye that looks down would have every foot behind its body.
        nearer = points @ self.view.level
        return list(zip(x.tolist(), y.tolist(), nearer.tolist(), strict=True))

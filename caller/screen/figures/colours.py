"""What the scene lends a figure."""

from __future__ import annotations

from dataclasses import dataclass

from caller.screen.figures.looks import Colour


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

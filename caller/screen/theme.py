"""Colours: light, dark, of high contrast, and for weak eyes.

Text stands at 7:1 or more against everything it is drawn on, shapes at 3:1 or more (WCAG 2.2,
success criteria 1.4.6 and 1.4.11); the tests compute it. Tints only back up place and edge
pattern, which tell the lanes apart without colour. Colours are 0xAARRGGBB.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

from caller.deciding import Side

Edge = Literal["line", "dashes", "dots"]

# A lane is known by its place and by the pattern of its edge; the tint comes last.
EDGES: dict[Side, Edge] = {"left": "line", "middle": "dots", "right": "dashes"}


@dataclass(frozen=True, slots=True, kw_only=True)
class LaneColours:
    """The tint a lane stands on, and its edge."""

    tint: int
    edge: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Theme:
    """All colours of a picture."""

    name: Literal["light", "dark", "contrast", "dial"]
    background: int
    ink: int  # text, hands and marks
    quiet: int  # small text: progress, hints
    face: int  # of the dial
    ghost: int  # the dial a wrong reading would have needed
    light: int  # the lit sector and counted arc, under the ink
    light_edge: int  # their outline and the counted marks
    light_text: int  # counted numbers
    tick: int
    strip: int  # beads, and what is chosen
    strip_track: int
    floor: int
    seam: int  # between the floor's boards; the pale wood on the wall
    skirting: int
    notice: int
    notice_text: int
    left: LaneColours
    middle: LaneColours
    right: LaneColours

    def lane(self, side: Side) -> LaneColours:
        """Return the colours of one lane."""
        return {"left": self.left, "middle": self.middle, "right": self.right}[side]


LIGHT = Theme(
    name="light",
    background=0xFFFAF8F3,
    ink=0xFF15202B,
    quiet=0xFF44505C,
    face=0xFFFFFFFF,
    ghost=0xFF6A7580,
    light=0xFFFFE09A,
    light_edge=0xFF7F4A00,
    light_text=0xFF653900,
    tick=0xFF0B6236,
    strip=0xFF0A5A8A,
    strip_track=0xFFC4B291,
    floor=0xFFEFE4CF,
    seam=0xFFE2D4B8,
    skirting=0xFFB79F78,
    notice=0xFF15202B,
    notice_text=0xFFFFFFFF,
    left=LaneColours(tint=0xFFFFF1D8, edge=0xFF8A5A00),
    middle=LaneColours(tint=0xFFEFEBF8, edge=0xFF5B4A9E),
    right=LaneColours(tint=0xFFE3F1FA, edge=0xFF0A5A8A),
)

DARK = Theme(
    name="dark",
    background=0xFF10161C,
    ink=0xFFF6F3EA,
    quiet=0xFFC3CBD3,
    face=0xFF1A232C,
    ghost=0xFF8E9AA6,
    light=0xFF574212,
    light_edge=0xFFF0B84A,
    light_text=0xFFFFD58A,
    tick=0xFF6FD69B,
    strip=0xFF7CC4F2,
    strip_track=0xFF4A5763,
    floor=0xFF1C252E,
    seam=0xFF26313B,
    skirting=0xFF4A5763,
    notice=0xFFF6F3EA,
    notice_text=0xFF10161C,
    left=LaneColours(tint=0xFF2D2414, edge=0xFFE8B04B),
    middle=LaneColours(tint=0xFF282241, edge=0xFFB9A8F0),
    right=LaneColours(tint=0xFF13293A, edge=0xFF7CC4F2),
)

# Black on white without half-tones, but for what tells the lanes apart.
CONTRAST = Theme(
    name="contrast",
    background=0xFFFFFFFF,
    ink=0xFF000000,
    quiet=0xFF1E1E1E,
    face=0xFFFFFFFF,
    ghost=0xFF595959,
    light=0xFFFFE600,
    light_edge=0xFF4A2C00,
    light_text=0xFF3A2200,
    tick=0xFF00431F,
    strip=0xFF00285E,
    strip_track=0xFFB0B0B0,
    floor=0xFFF2F2F2,
    seam=0xFFE4E4E4,
    skirting=0xFF767676,  # no darker: a figure stands out before it too
    notice=0xFF000000,
    notice_text=0xFFFFFFFF,
    left=LaneColours(tint=0xFFFFEFB8, edge=0xFF5A3000),
    middle=LaneColours(tint=0xFFEBDDFB, edge=0xFF3B1A80),
    right=LaneColours(tint=0xFFCFE9FF, edge=0xFF00306E),
)

# For weak eyes: a choice shows its dial alone, as large as the picture allows, and the words are said.
DIAL = replace(CONTRAST, name="dial")

THEMES: dict[str, Theme] = {theme.name: theme for theme in (LIGHT, DARK, CONTRAST, DIAL)}


def blend(colour: int, other: int, share: float) -> int:
    """Return `colour` mixed with `share` (0 to 1) of `other`, opaque."""
    mixed = 0xFF
    for shift in (16, 8, 0):
        a, b = colour >> shift & 0xFF, other >> shift & 0xFF
        mixed = mixed << 8 | round(a + (b - a) * share)
    return mixed


def lightness(colour: int) -> float:
    """Return the L* of CIE 1976, from 0 to 100: what is left of a colour in grey."""
    levels = ((colour >> shift & 0xFF) / 255.0 for shift in (16, 8, 0))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in levels]
    luminance = sum(share * c for share, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
    if luminance <= (6 / 29) ** 3:
        return float(luminance * (29 / 3) ** 3)
    return float(116.0 * luminance ** (1 / 3) - 16.0)


@cache
def at_lightness(colour: int, wanted: float) -> int:
    """Return a colour mixed with black or white until its L* is as `wanted`."""
    other = 0xFFFFFFFF if wanted > lightness(colour) else 0xFF000000
    return min(
        (blend(colour, other, share / 256) for share in range(257)), key=lambda c: abs(lightness(c) - wanted)
    )


def with_alpha(colour: int, alpha: float) -> int:
    """Return `colour` at an opacity from 0 to 1."""
    return round(255 * min(1.0, max(0.0, alpha))) << 24 | (colour & 0xFFFFFF)

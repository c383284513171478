"""Typefaces: Lexend, vendored under the SIL Open Font License (fonts/OFL.txt).

Chosen by looking: its zero is plain (a slashed zero in "10:00" reads as a new sign to a child who
has just met ten), its 1 has a flag and a foot, and its 6, 9 and 4 are open.
"""

from __future__ import annotations

from functools import cache
from importlib import resources

from caller.screen.skia_door import skia

_FILES = {False: "Lexend-Regular.ttf", True: "Lexend-Bold.ttf"}


def _load(name: str) -> skia.Typeface | None:
    try:
        data = resources.files("caller.screen").joinpath("fonts", name).read_bytes()
    except OSError:
        return None
    # A manager without the system's fonts: theirs are not looked for, nor complained about.
    return skia.FontMgr.New_Custom_Empty().makeFromData(skia.Data.MakeWithCopy(data))


@cache
def typeface(bold: bool) -> skia.Typeface:
    """Return the typeface, or the system's own where our file is missing or damaged."""
    found = _load(_FILES[bold])
    if found is None:
        style = skia.FontStyle.Bold() if bold else skia.FontStyle.Normal()
        found = skia.FontMgr().legacyMakeTypeface("", style)
    return found


@cache
def _stand_in(character: str, bold: bool) -> skia.Typeface | None:
    """Return some system typeface that can write a character ours cannot."""
    style = skia.FontStyle.Bold() if bold else skia.FontStyle.Normal()
    return skia.FontMgr().matchFamilyStyleCharacter("", style, [], ord(character))


def face_for(character: str, bold: bool = False) -> skia.Typeface:
    """Return the typeface that writes `character`: ours if it can."""
    ours = typeface(bold)
    if character.isspace() or ours.unicharToGlyph(ord(character)):
        return ours
    return _stand_in(character, bold) or ours


@cache
def _font(face_id: int, size: float) -> skia.Font:
    font = skia.Font(_faces[face_id], size)
    font.setEdging(skia.Font.Edging.kAntiAlias)
    # Without hinting a word is as wide at 40 px as at 400: layout does not depend on the window.
    font.setHinting(skia.FontHinting.kNone)
    font.setSubpixel(True)
    font.setLinearMetrics(True)
    return font


_faces: dict[int, skia.Typeface] = {}


def font(face: skia.Typeface, size: float) -> skia.Font:
    """Return an unhinted, anti-aliased font of `size` pixels."""
    _faces[face.uniqueID()] = face
    return _font(face.uniqueID(), size)


@cache
def cap_height(bold: bool) -> float:
    """Return the height of a capital (and of a numeral) as a share of the font size."""
    return float(font(typeface(bold), 1000.0).getMetrics().fCapHeight) / 1000.0

"""Pictures as pixels for the window and encoders, as files, and as the last row sees them.

The blur is a Gaussian in linear light whose width is 0.7 of the eye's smallest angle. With that factor a
reader of letters fails where the eye chart says an eye does (own calibration with tesseract on 120 Sloan
letters of five times the smallest angle); with the eye's optics alone it would read nearly everything, and
flatter the picture.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache, partial
from math import ceil, floor
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.clock.said_and_shown import Cue
from caller.deciding import Side
from caller.file_writing import write_bytes
from caller.runsheet import Board, FiguresDo
from caller.screen import Rect
from caller.screen.caption import cloth_place, last_seconds
from caller.screen.cues import come_to, reach
from caller.screen.figures_on_stage import KeptFigures, ink
from caller.screen.ground import bead_count, bead_place, beads_left
from caller.screen.layout import places
from caller.screen.scene import Scene
from caller.screen.skia_door import skia
from caller.screen.stage import as_shown, draw_parts, draw_scene, moving_parts, performers, standing_parts
from caller.screen.theme import LIGHT, Theme

Box = tuple[int, int, int, int]  # left, top, right, bottom in pixels, all even

_ROUND = 4  # pixels around a changed part, for its soft edges


def changed(before: Scene | None, after: Scene, width: int, height: int, theme: Theme) -> list[Box]:
    """Return boxes that hold everything in which two pictures differ; they do not overlap."""
    if before is None or _rarely_changed(before) != _rarely_changed(after):
        return [(0, 0, width, height)]
    return apart([_even(rect, width, height) for rect in _parts(before, after, width, height, theme)])


def _parts(before: Scene, after: Scene, width: int, height: int, theme: Theme) -> Iterator[Rect]:
    """Yield the places of the parts that differ."""
    board = after.board
    placed = places(board, width, height)
    if _figures(before) != _figures(after):
        for one, other in zip(
            performers(before, width, height), performers(after, width, height), strict=True
        ):
            if one != other:
                yield ink(one, theme)
                yield ink(other, theme)
    if _cues(before) != _cues(after):
        for dial in placed.middle.dials[-1:]:
            yield reach(dial.centre, dial.radius)
        if board.jumps and placed.middle.asked is not None:
            yield placed.middle.asked
    if before.count != after.count and placed.count is not None:
        yield placed.count
    if _foot(before) != _foot(after):
        yield placed.caption
    if before.raised != after.raised:
        cloths = [cloth_place(one, placed.foot) for one in (before.raised, after.raised) if one is not None]
        yield max(cloths, key=lambda cloth: cloth.height)
    if before.think_s != after.think_s:
        yield placed.beads
    elif after.think_s is not None:
        left = sorted(beads_left(after.think_s, scene.left_s) for scene in (before, after))
        for number in range(floor(left[0]), min(ceil(left[1]), bead_count(after.think_s))):
            if left[0] != left[1]:
                yield bead_place(after.think_s, number, placed.beads)


def _figures(scene: Scene) -> tuple[FiguresDo, float, float]:
    return scene.doing, scene.move_s, scene.bpm


def _rarely_changed(scene: Scene) -> tuple[Board, Side | None, str]:
    """Return what may change any part of the picture."""
    return scene.board, scene.point_to, scene.notice


def _cues(scene: Scene) -> list[tuple[Cue, float]]:
    """Return the cues, each as far as it has come."""
    return [(active.cue, come_to(active)) for active in scene.cues]


def _foot(scene: Scene) -> tuple[str, int | None, int | None] | None:
    """Return what stands in the caption's place: words and a number, or nothing under a cloth."""
    return None if scene.covered else (scene.caption, scene.count, last_seconds(scene.think_s, scene.left_s))


def _even(rect: Rect, width: int, height: int) -> Box:
    """Return the box around a place: colours are stored for two pixels by two."""
    return (
        max(floor((rect.x - _ROUND) / 2) * 2, 0),
        max(floor((rect.y - _ROUND) / 2) * 2, 0),
        min(ceil((rect.right + _ROUND) / 2) * 2, width),
        min(ceil((rect.bottom + _ROUND) / 2) * 2, height),
    )


def apart(boxes: Iterable[Box]) -> list[Box]:
    """Return boxes with those that overlap joined."""
    found: list[Box] = []
    for box in boxes:
        while overlapping := [one for one in found if _overlap(one, box)]:
            found = [one for one in found if one not in overlapping]
            lefts, tops, rights, bottoms = zip(*overlapping, box, strict=True)
            box = (min(lefts), min(tops), max(rights), max(bottoms))
        found.append(box)
    return found


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


_KEPT = 1  # picture of standing parts: another takes no longer than a frame


class Raster:
    """A picture of fixed size, drawn again and again into the same memory.

    Parameters
    ----------
    width, height
        In pixels.
    figures
        Where figures are kept, which do the same again and again; not at all where left out.
    pixels
        The memory to draw into, of the shape below; its own where left out.

    Attributes
    ----------
    pixels
        Shape (height, width, 4), uint8, in the order blue, green, red, alpha; always opaque.
    """

    def __init__(
        self,
        width: int,
        height: int,
        *,
        figures: KeptFigures | None = None,
        pixels: NDArray[np.uint8] | None = None,
    ) -> None:
        self.width, self.height = width, height
        self._figures = figures
        self.pixels = np.zeros((height, width, 4), np.uint8) if pixels is None else pixels
        self._info = skia.ImageInfo.Make(
            width, height, skia.ColorType.kBGRA_8888_ColorType, skia.AlphaType.kPremul_AlphaType
        )
        self._surface = skia.Surface.MakeRasterDirect(self._info, self.pixels, 4 * width)
        self._standing = lru_cache(maxsize=_KEPT)(self._draw_standing)
        self._holds: tuple[Scene, Theme] | None = None

    @property
    def canvas(self) -> skia.Canvas:
        """The canvas that draws into `pixels`; whoever draws on it draws over what was there."""
        self._holds = None
        return self._surface.getCanvas()

    def draw(self, scene: Scene, theme: Theme) -> NDArray[np.uint8]:
        """Draw a scene and return `pixels`, the same array every time."""
        scene = as_shown(scene, theme)
        self._draw(scene, theme, [(0, 0, self.width, self.height)])
        self._holds = scene, theme
        return self.pixels

    def draw_changes(self, scene: Scene, theme: Theme) -> list[Box]:
        """Draw what of a scene `pixels` does not hold; return the boxes drawn, which do not overlap."""
        scene = as_shown(scene, theme)
        before = self._holds[0] if self._holds is not None and self._holds[1] is theme else None
        if scene == before:
            return []
        boxes = changed(before, scene, self.width, self.height, theme)
        self._draw(scene, theme, boxes)
        self._holds = scene, theme
        return boxes

    def _draw(self, scene: Scene, theme: Theme, boxes: Iterable[Box]) -> None:
        canvas = self._surface.getCanvas()
        standing = self._standing(scene.board, scene.point_to, theme)
        parts = tuple(moving_parts(scene, width=self.width, height=self.height, theme=theme))
        replaced = skia.Paint(BlendMode=skia.BlendMode.kSrc)  # it is opaque: copied, not blended
        draw_figure = None if self._figures is None else partial(self._figures.draw, theme=theme)
        for box in boxes:
            canvas.save()
            canvas.clipRect(skia.Rect.MakeLTRB(*box))
            canvas.drawImage(standing, 0, 0, skia.SamplingOptions(), replaced)
            draw_parts(canvas, parts, draw_figure)
            canvas.restore()

    def _draw_standing(self, board: Board, point_to: Side | None, theme: Theme) -> skia.Image:
        """Return what stands still on a board as an image, which is cheaper to lay down again."""
        surface = skia.Surface.MakeRaster(self._info)
        picture = standing_parts(board, point_to, self.width, self.height, theme)
        surface.getCanvas().drawPicture(picture)
        return surface.makeImageSnapshot()


Draw = Callable[["skia.Canvas"], None]


def png_bytes(draw: Draw, width: int, height: int) -> bytes:
    """Return a PNG of `width` by `height` pixels; what `draw` leaves out stays see-through."""
    surface = skia.Surface(width, height)
    draw(surface.getCanvas())
    return bytes(surface.makeImageSnapshot().encodeToData(skia.kPNG, 100))


def svg_bytes(draw: Draw, width: float, height: float) -> bytes:
    """Return an SVG; letters become outlines, so that it looks the same without our typeface."""
    stream = skia.DynamicMemoryWStream()
    flags = skia.SVGCanvas.kConvertTextToPaths_Flag
    canvas = skia.SVGCanvas.Make(skia.Rect.MakeWH(width, height), stream, flags)
    draw(canvas)
    del canvas  # the drawing is complete only once its canvas is gone
    return bytes(stream.detachAsData())


def pdf_bytes(draw: Draw, width: float, height: float, *, title: str = "") -> bytes:
    """Return a PDF of one page; width and height are in points (1/72 inch)."""
    stream = skia.DynamicMemoryWStream()
    metadata = skia.PDF.Metadata()
    metadata.fTitle = title
    document = skia.PDF.MakeDocument(stream, metadata)
    draw(document.beginPage(width, height))
    document.endPage()
    document.close()
    return bytes(stream.detachAsData())


def file_bytes(draw: Draw, width: int, height: int, ending: str, *, title: str = "") -> bytes:
    """Return a picture in the form that a file name's ending asks for: png, svg or pdf.

    Raises
    ------
    ValueError
        For any other ending.
    """
    match ending.lower().lstrip("."):
        case "png":
            return png_bytes(draw, width, height)
        case "svg":
            return svg_bytes(draw, width, height)
        case "pdf":
            return pdf_bytes(draw, width, height, title=title)
        case other:
            raise ValueError(f"no picture can be written as {other!r}")


def write_png(
    scene: Scene,
    path: Path,
    *,
    width: int = 1920,
    height: int = 1080,
    theme: Theme = LIGHT,
    replace: bool = True,
) -> None:
    """Write one picture of a lesson as a PNG file; `replace` says whether one that is there may go."""

    def draw(canvas: skia.Canvas) -> None:
        draw_scene(canvas, scene, width=width, height=height, theme=theme)

    write_bytes(path, png_bytes(draw, width, height), replace=replace)


BLUR_PER_ANGLE: Final = 0.7
_REACH: Final = 3.0  # standard deviations after which the blur counts for nothing


def blur_px(rows: int, *, image_height_m: float, distance_m: float, acuity_arcmin: float = 2.0) -> float:
    """Return the blur's standard deviation in pixels.

    Parameters
    ----------
    rows
        Of the picture.
    image_height_m, distance_m
        How high the picture is on the wall, and from how far it is seen.
    acuity_arcmin
        The smallest angle the eye resolves, in minutes of arc; 2 is 20/40.
    """
    seen_arcmin = math.degrees(2.0 * math.atan(image_height_m / 2.0 / distance_m)) * 60.0
    return BLUR_PER_ANGLE * acuity_arcmin * rows / seen_arcmin


def as_seen(pixels: NDArray[np.uint8], sigma_px: float) -> NDArray[np.uint8]:
    """Return a picture of shape (height, width, channels), sRGB, blurred in linear light."""
    shares = pixels.astype(np.float32) / 255.0
    linear = np.where(shares <= 0.04045, shares / 12.92, ((shares + 0.055) / 1.055) ** 2.4)
    for axis in (0, 1):
        linear = _smeared(linear, sigma_px, axis)
    curved = 1.055 * np.maximum(linear, 0.0) ** (1 / 2.4) - 0.055
    back = np.where(linear <= 0.0031308, linear * 12.92, curved)
    return np.ascontiguousarray(np.clip(back * 255.0 + 0.5, 0, 255), dtype=np.uint8)


def _smeared(picture: NDArray[np.float32], sigma_px: float, axis: int) -> NDArray[np.float32]:
    """Blur along one axis; beyond the edge the picture goes on as it ends."""
    reach = max(1, math.ceil(_REACH * sigma_px))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / max(sigma_px, 1e-6)) ** 2)
    weights /= weights.sum()
    edges = [(reach, reach) if number == axis else (0, 0) for number in range(picture.ndim)]
    padded = np.pad(picture, edges, mode="edge")
    length = picture.shape[axis]
    out = np.zeros_like(picture)
    for start, weight in enumerate(weights):
        out += np.float32(weight) * np.take(padded, range(start, start + length), axis=axis)
    return out

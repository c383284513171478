"""Pictures as pixels: one buffer that the window and the video encoder take as it is."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from caller.runsheet.model import Board, Side
from caller.screen.changes import Box, changed
from caller.screen.scene import Scene
from caller.screen.skia_door import skia
from caller.screen.stage import as_shown, draw_moving_parts, standing_parts
from caller.screen.theme import Theme

_REPLACE = skia.Paint(BlendMode=skia.BlendMode.kSrc)  # it is opaque: copied, not blended
_KEPT = 3  # pictures of standing parts: this board, and as each of its lanes is pointed to


class Raster:
    """A picture of fixed size, drawn again and again into the same memory.

    Attributes
    ----------
    pixels
        Shape (height, width, 4), uint8, in the order blue, green, red, alpha; always opaque.
    """

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self.pixels: NDArray[np.uint8] = np.zeros((height, width, 4), np.uint8)
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
        self._draw(scene, theme)
        self._holds = scene, theme
        return self.pixels

    def draw_changes(self, scene: Scene, theme: Theme) -> list[Box]:
        """Draw what of a scene `pixels` does not hold; return the boxes drawn, which do not overlap."""
        scene = as_shown(scene, theme)
        before = self._holds[0] if self._holds is not None and self._holds[1] is theme else None
        if scene == before:
            return []
        boxes = changed(before, scene, self.width, self.height, theme)
        canvas = self._surface.getCanvas()
        for box in boxes:
            canvas.save()
            canvas.clipRect(skia.Rect.MakeLTRB(*box))
            self._draw(scene, theme)
            canvas.restore()
        self._holds = scene, theme
        return boxes

    def _draw(self, scene: Scene, theme: Theme) -> None:
        canvas = self._surface.getCanvas()
        standing = self._standing(scene.board, scene.point_to, theme)
        canvas.drawImage(standing, 0, 0, skia.SamplingOptions(), _REPLACE)
        draw_moving_parts(canvas, scene, width=self.width, height=self.height, theme=theme)

    def _draw_standing(self, board: Board, point_to: Side | None, theme: Theme) -> skia.Image:
        """Return what stands still on a board as an image, which is cheaper to lay down again."""
        surface = skia.Surface.MakeRaster(self._info)
        picture = standing_parts(board, point_to, self.width, self.height, theme)
        surface.getCanvas().drawPicture(picture)
        return surface.makeImageSnapshot()

"""The shared pixel buffer."""

from __future__ import annotations

import numpy as np
import pytest

from caller.screen.raster import Raster
from caller.screen.scene import Scene
from caller.screen.skia_door import skia
from caller.screen.stage import draw_scene
from caller.screen.theme import DARK, LIGHT
from tests.screen.boards import BOARDS, CLOCK


def test_drawing_goes_into_the_same_memory_every_time() -> None:
    raster = Raster(640, 360)
    first = raster.draw(Scene(board=CLOCK), LIGHT)
    light = first.copy()
    second = raster.draw(Scene(board=CLOCK), DARK)
    assert first is second is raster.pixels
    assert (first != light).any()


@pytest.mark.parametrize("name", BOARDS)
def test_kept_parts_give_the_same_picture_as_drawing_everything(name: str) -> None:
    scene = Scene(board=BOARDS[name], caption="Ready?", move_s=0.3)
    raster = Raster(640, 360)
    for other in ("clock", "dials", "title", name):
        raster.draw(Scene(board=BOARDS[other]), LIGHT)
    surface = skia.Surface(640, 360)
    draw_scene(surface.getCanvas(), scene, width=640, height=360, theme=LIGHT)
    expected = np.asarray(surface.toarray(colorType=skia.ColorType.kBGRA_8888_ColorType))
    assert (raster.draw(scene, LIGHT) == expected).all()


def test_pixels_are_blue_green_red_alpha_and_opaque() -> None:
    raster = Raster(64, 36)
    raster.canvas.clear(0xFF102030)
    assert raster.pixels.shape == (36, 64, 4)
    assert raster.pixels[0, 0].tolist() == [0x30, 0x20, 0x10, 0xFF]

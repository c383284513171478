from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.export.encoding import Painter
from caller.export.programme import Programme
from caller.screen.figures_on_stage import KeptFigures
from caller.screen.raster import Raster
from caller.screen.theme import DARK, LIGHT, Theme
from tests.sampling import sampled


@pytest.mark.parametrize(("size", "theme"), [((640, 360), LIGHT), ((640, 360), DARK), ((854, 480), LIGHT)])
def test_painting_what_changed_gives_the_whole_picture(
    programme: Programme, size: tuple[int, int], theme: Theme
) -> None:
    painter, raster = Painter(*size, theme, kept()), Raster(*size, figures=kept())
    for sample in sampled(range(0, programme.length, 7_000), 3):
        scene = programme.scene(sample)
        painted = painter.paint(scene).to_ndarray()
        fresh = Painter(*size, theme, kept()).paint(scene).to_ndarray()
        # Soft edges come out a few levels different under a clip; a part left out would be off by a hundred.
        assert np.abs(painted.astype(int) - fresh).max() <= 8, sample
        luma = painted[: size[1], : size[0]]
        assert np.abs(luma - bt_709_luma(raster.draw(scene, theme))).max() < 4, sample


def kept() -> KeptFigures:
    """Return room for figures of one's own: one that was kept wrongly would else be the same in all."""
    return KeptFigures(1_000_000)


def bt_709_luma(pixels: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Return luma with studio levels (ITU-R BT.709-6, from memory) of blue, green, red, alpha."""
    blue, green, red = (pixels[..., n] / 255 for n in range(3))
    return np.asarray(16 + 219 * (0.2126 * red + 0.7152 * green + 0.0722 * blue))

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.export.painting import Painter, changed
from caller.export.programme import Programme
from caller.screen.raster import Raster
from caller.screen.scene import Scene
from caller.screen.theme import DARK, LIGHT, Theme

from .conftest import BOARD

SCENE = Scene(board=BOARD, caption="What time is it?", move_s=1.0)


@pytest.mark.parametrize(("size", "theme"), [((640, 360), LIGHT), ((640, 360), DARK), ((854, 480), LIGHT)])
def test_painting_what_changed_gives_the_whole_picture(
    programme: Programme, size: tuple[int, int], theme: Theme
) -> None:
    painter, raster = Painter(*size, theme), Raster(*size)
    for sample in range(0, programme.length, 7_000):
        scene = programme.scene(sample)
        painted = painter.paint(scene).to_ndarray()
        fresh = Painter(*size, theme).paint(scene).to_ndarray()
        # Soft edges come out a few levels different under a clip; a part left out would be off by a hundred.
        assert np.abs(painted.astype(int) - fresh).max() <= 8, sample
        luma = painted[: size[1], : size[0]]
        assert np.abs(luma - bt_709_luma(raster.draw(scene, theme))).max() < 4, sample


def bt_709_luma(pixels: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Return luma with studio levels (ITU-R BT.709-6, from memory) of blue, green, red, alpha."""
    blue, green, red = (pixels[..., n] / 255 for n in range(3))
    return np.asarray(16 + 219 * (0.2126 * red + 0.7152 * green + 0.0722 * blue))


def test_the_same_scene_is_not_drawn_again(monkeypatch: pytest.MonkeyPatch) -> None:
    painter = Painter(640, 360, LIGHT)
    painter.paint(SCENE)

    def refuse(*_: object) -> None:
        raise AssertionError("drawn again")

    monkeypatch.setattr(Raster, "draw", refuse)
    painter.paint(replace(SCENE))


def test_moving_figures_change_their_rooms_only() -> None:
    boxes = changed(SCENE, replace(SCENE, move_s=1.1), 1920, 1080)
    assert len(boxes) == 2
    assert sum((right - left) * (bottom - top) for left, top, right, bottom in boxes) < 0.25 * 1920 * 1080


def test_another_board_changes_the_whole_picture() -> None:
    assert changed(SCENE, replace(SCENE, board=replace(BOARD, answer="left")), 1920, 1080) == [
        (0, 0, 1920, 1080)
    ]
    assert changed(SCENE, replace(SCENE, point_to="left"), 1920, 1080) == [(0, 0, 1920, 1080)]


def test_boxes_are_even_and_do_not_overlap() -> None:
    after = replace(SCENE, move_s=2.0, caption="Go!", think_s=6.0, left_s=4.5)
    boxes = changed(SCENE, after, 1366, 768)
    assert all(edge % 2 == 0 for box in boxes for edge in box)
    covered = np.zeros((768, 1366), int)
    for left, top, right, bottom in boxes:
        covered[top:bottom, left:right] += 1
    assert covered.max() == 1

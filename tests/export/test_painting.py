from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.clock.cues import HandPulse
from caller.export.painting import Painter, changed
from caller.export.programme import Programme
from caller.screen.raster import Raster
from caller.screen.scene import ActiveCue, Scene
from caller.screen.theme import DARK, LIGHT, Theme
from tests.sampling import sampled

from .conftest import BOARD

SCENE = Scene(board=BOARD, caption="What time is it?", move_s=1.0)


@pytest.mark.parametrize(("size", "theme"), [((640, 360), LIGHT), ((640, 360), DARK), ((854, 480), LIGHT)])
def test_painting_what_changed_gives_the_whole_picture(
    programme: Programme, size: tuple[int, int], theme: Theme
) -> None:
    painter, raster = Painter(*size, theme), Raster(*size)
    for sample in sampled(range(0, programme.length, 7_000), 3):
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


def test_moving_figures_change_what_they_are_drawn_on_only() -> None:
    boxes = changed(SCENE, replace(SCENE, move_s=1.1), 1920, 1080, LIGHT)
    assert len(boxes) == 2
    assert sum((right - left) * (bottom - top) for left, top, right, bottom in boxes) < 0.15 * 1920 * 1080


def test_another_board_changes_the_whole_picture() -> None:
    assert changed(SCENE, replace(SCENE, board=replace(BOARD, answer="left")), 1920, 1080, LIGHT) == [
        (0, 0, 1920, 1080)
    ]
    assert changed(SCENE, replace(SCENE, point_to="left"), 1920, 1080, LIGHT) == [(0, 0, 1920, 1080)]


def test_cues_at_rest_change_nothing() -> None:
    swelling = [
        replace(SCENE, cues=(ActiveCue(cue=HandPulse("hour"), progress=share),)) for share in (0.3, 0.7, 0.9)
    ]
    assert changed(swelling[0], swelling[1], 1920, 1080, LIGHT) != []
    assert changed(swelling[1], swelling[2], 1920, 1080, LIGHT) == []


def test_only_the_bead_that_is_picked_up_changes() -> None:
    before, after = (replace(SCENE, think_s=25.0, left_s=left_s) for left_s in (20.0, 19.0))
    [(left, top, right, bottom)] = changed(before, after, 1920, 1080, LIGHT)
    assert right - left < 60
    assert 1000 < top < bottom
    half_way = replace(SCENE, think_s=25.0, left_s=19.6)
    assert changed(before, half_way, 1920, 1080, LIGHT) == []
    [(left, _, right, _)] = changed(SCENE, before, 1920, 1080, LIGHT)
    assert (left, right) == (0, 1920)


def test_boxes_are_even_and_do_not_overlap() -> None:
    after = replace(SCENE, move_s=2.0, caption="Go!", think_s=6.0, left_s=4.5)
    boxes = changed(SCENE, after, 1366, 768, LIGHT)
    assert all(edge % 2 == 0 for box in boxes for edge in box)
    covered = np.zeros((768, 1366), int)
    for left, top, right, bottom in boxes:
        covered[top:bottom, left:right] += 1
    assert covered.max() == 1

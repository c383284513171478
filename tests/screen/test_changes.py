from __future__ import annotations

from dataclasses import replace

import numpy as np

from caller.clock.cues import HandPulse
from caller.clock.times import ClockTime
from caller.runsheet.model import Board, Dial, Lane
from caller.screen.changes import changed
from caller.screen.raster import Raster
from caller.screen.scene import ActiveCue, Scene
from caller.screen.theme import DARK, LIGHT

LANES = (
    Lane(side="left", numeral="4:40", words="four forty", move="march", move_name="march"),
    Lane(side="right", numeral="8:20", words="eight twenty", move="star-jumps", move_name="star jumps"),
)
BOARD = Board(layout="clock", dials=(Dial(time=ClockTime(4, 40)),), lanes=LANES, progress="1 of 1")
SCENE = Scene(board=BOARD, caption="What time is it?", move_s=1.0)


def test_what_a_picture_holds_is_not_drawn_again() -> None:
    raster = Raster(640, 360)
    assert raster.draw_changes(SCENE, LIGHT) == [(0, 0, 640, 360)]
    assert raster.draw_changes(replace(SCENE), LIGHT) == []
    assert raster.draw_changes(SCENE, DARK) == [(0, 0, 640, 360)]


def test_what_somebody_else_has_drawn_over_is_drawn_again() -> None:
    raster = Raster(640, 360)
    raster.draw(SCENE, LIGHT)
    raster.canvas.clear(0)
    assert raster.draw_changes(SCENE, LIGHT) == [(0, 0, 640, 360)]


def test_changes_make_the_whole_picture_whatever_came_before() -> None:
    raster = Raster(640, 360)
    scenes = [
        SCENE,
        replace(SCENE, move_s=1.4, caption="Go!", think_s=12.0, left_s=9.0),
        replace(SCENE, move_s=2.9, caption="Go!", think_s=12.0, left_s=3.5),
        replace(SCENE, board=replace(BOARD, answer="left"), point_to="left"),
        replace(SCENE, cues=(ActiveCue(cue=HandPulse("hour"), progress=0.5),)),
        replace(SCENE, notice="Noted."),
    ]
    for before in scenes:
        for after in scenes:
            raster.draw(before, LIGHT)
            raster.draw_changes(after, LIGHT)
            whole = Raster(640, 360).draw(after, LIGHT)
            # Soft edges come out a few levels off under a clip; a part left out would be off by a hundred.
            assert np.abs(raster.pixels.astype(int) - whole).max() <= 8


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

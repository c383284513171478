"""What stands on the screen when pictures were drawn ahead, rightly or not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pygame
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from caller.clock import ClockTime
from caller.clock.said_and_shown import HandPulse
from caller.live.window import Window
from caller.runsheet import Board, Dial, Lane
from caller.screen.menu import Menu
from caller.screen.raster import Raster
from caller.screen.scene import ActiveCue, Scene

LANES = (
    Lane(side="left", numeral="5:20", words="five twenty", move="march", move_name="march"),
    Lane(side="right", numeral="4:25", words="four twenty-five", move="star-jumps", move_name="star jumps"),
)
BOARD = Board(layout="clock", dials=(Dial(time=ClockTime(5, 20)),), lanes=LANES, progress="1 of 1")
CALM = Scene(board=BOARD, caption="What time is it?")
PICTURES: tuple[Scene | Menu, ...] = (
    CALM,
    replace(CALM, doing="move", move_s=1.4, bpm=120.0, caption="Go!", think_s=12.0, left_s=9.0),
    replace(CALM, doing="move", move_s=2.9, bpm=120.0, caption="Go!", think_s=12.0, left_s=3.5),
    replace(CALM, board=replace(BOARD, answer="left"), point_to="left"),
    replace(CALM, cues=(ActiveCue(cue=HandPulse("hour"), progress=0.5),)),
    replace(CALM, notice="Noted."),
    Menu(title="Terns", tiles=()),
)
SCENES = [picture for picture in PICTURES if isinstance(picture, Scene)]
# Soft edges come out a few levels off under a clip; a part left out would be off by a hundred.
ROUNDED = 8


@pytest.fixture
def window(monkeypatch: pytest.MonkeyPatch) -> Iterator[Window]:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    window = Window(size=(640, 360))
    yield window
    window.close()


def on_screen() -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    surface = pygame.display.get_surface()
    assert surface is not None
    return pygame.surfarray.array3d(surface).swapaxes(0, 1)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    steps=st.lists(
        st.tuples(st.sampled_from(PICTURES), st.lists(st.sampled_from(SCENES), max_size=2)),
        min_size=1,
        max_size=8,
    )
)
def test_what_is_shown_stands_on_the_screen_whatever_was_drawn_ahead(
    window: Window, steps: list[tuple[Scene | Menu, list[Scene]]]
) -> None:
    for shown, ahead in steps:
        window.show(shown)
        seen = on_screen().astype(int)
        for scene in ahead:
            window.draw_ahead(scene)
        assert (on_screen() == seen).all(), "drawn ahead is not shown"
        if isinstance(shown, Scene):
            whole = Raster(640, 360).draw(shown, window.theme)[..., 2::-1]
            assert np.abs(seen - whole).max() <= ROUNDED


def test_a_picture_that_was_drawn_ahead_is_only_sent(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    window.show(PICTURES[1])
    window.draw_ahead(SCENES[2])
    monkeypatch.setattr(Raster, "_draw", lambda *_: pytest.fail("drawn when it is due"))
    assert window.show(SCENES[2])

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


class Seen:
    """A screen behind the window: it has what was sent, and nothing else."""

    def __init__(self) -> None:
        self.pixels = np.zeros((360, 640, 3), np.uint8)

    def take(self, boxes: list[tuple[int, int, int, int]]) -> None:
        surface = pygame.display.get_surface()
        assert surface is not None
        drawn = pygame.surfarray.array3d(surface).swapaxes(0, 1)
        if drawn.shape != self.pixels.shape:
            self.pixels = np.zeros_like(drawn)
        for left, top, width, height in boxes:
            place = np.s_[top : top + height, left : left + width]
            self.pixels[place] = drawn[place]


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch) -> Seen:
    screen = Seen()
    monkeypatch.setattr(pygame.display, "update", screen.take)
    return screen


@pytest.fixture
def window(monkeypatch: pytest.MonkeyPatch, seen: Seen) -> Iterator[Window]:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    window = Window(size=(640, 360))
    yield window
    window.close()


def assert_shows(seen: Seen, scene: Scene, window: Window) -> None:
    height, width = seen.pixels.shape[:2]
    whole = Raster(width, height).draw(scene, window.theme)[..., 2::-1]
    assert np.abs(seen.pixels.astype(int) - whole).max() <= ROUNDED


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    steps=st.lists(
        st.tuples(st.sampled_from(PICTURES), st.lists(st.sampled_from(SCENES), max_size=2)),
        min_size=1,
        max_size=8,
    )
)
def test_what_is_shown_stands_on_the_screen_whatever_was_drawn_ahead(
    window: Window, seen: Seen, steps: list[tuple[Scene | Menu, list[Scene]]]
) -> None:
    for shown, ahead in steps:
        window.show(shown)
        for scene in ahead:
            window.draw_ahead(scene)
        if isinstance(shown, Scene):
            assert_shows(seen, shown, window)


def test_a_picture_that_was_drawn_ahead_is_only_sent(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    window.show(PICTURES[1])
    window.draw_ahead(SCENES[2])
    monkeypatch.setattr(Raster, "_draw", lambda *_: pytest.fail("drawn when it is due"))
    assert window.show(SCENES[2])


def test_a_window_of_another_size_is_drawn_whole_in_its_own_memory(window: Window, seen: Seen) -> None:
    """The system gives it other memory, of which the next picture learns before its event is read."""
    window.show(PICTURES[1])
    for size in ((800, 450), (320, 180), (640, 360)):
        window._screen = pygame.display.set_mode(size)
        window.draw_ahead(SCENES[2])
        assert window.size == size
        window.show(SCENES[2])
        assert_shows(seen, SCENES[2], window)


def test_a_screen_laid_out_in_another_way_shows_the_same(window: Window, seen: Seen) -> None:
    """Red and blue the other way round, as some are."""
    window._screen = pygame.display.set_mode((640, 360))
    other = pygame.Surface((640, 360), 0, 32, (0xFF, 0xFF00, 0xFF0000, 0))
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(pygame.display, "get_surface", lambda: other)
        window._fit()
        for scene in SCENES:
            window.draw_ahead(scene)
            window.show(scene)
            assert_shows(seen, scene, window)

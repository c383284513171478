"""The window: shows scenes, and tells what was pressed. Nothing here knows the lesson."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol

import pygame

from caller.errors import ScreenError
from caller.live.gamepad import Pads
from caller.live.grumbles import grumbles_hidden
from caller.live.lost_display import display_lost, watch_display
from caller.screen.keypage import KeyPage, draw_key_page
from caller.screen.menu import Menu, draw_menu
from caller.screen.raster import Raster
from caller.screen.scene import Scene
from caller.screen.theme import DARK, LIGHT, Theme

_WINDOWED_SIZE = (1280, 720)
_TITLE = "Lesson caller"

_UNSEEN = frozenset({"offscreen", "dummy"})
_CHOSEN = ("SDL_VIDEODRIVER", "SDL_VIDEO_DRIVER")

_BY_SIGN = frozenset("+=-.0123456789")
_RESIZED = (pygame.VIDEORESIZE, pygame.WINDOWSIZECHANGED)
_UNCOVERED = (pygame.WINDOWEXPOSED, pygame.WINDOWRESTORED, pygame.WINDOWFOCUSGAINED)

NO_DISPLAY = (
    "This computer has no display to show the clock on: connect one, "
    "or start the lesson from a desktop session."
)


DISPLAY_LOST = (
    "The display went away in the middle of the lesson: connect it again and start the caller again; "
    "it carries on from the call it had reached."
)


@dataclass(frozen=True, slots=True)
class KeyPress:
    """A key or presenter button, by pygame's name for it; closing the window counts as Escape."""

    key: str


@dataclass(frozen=True, slots=True)
class Click:
    """A press of the main mouse button, or of a finger, in pixels from the top left."""

    x: int
    y: int


@dataclass(frozen=True, slots=True)
class KeyRelease:
    """A key or button let go, by pygame's name for it."""

    key: str


Input = KeyPress | KeyRelease | Click
Picture = Scene | Menu | KeyPage


class Screen(Protocol):
    """What a lesson is shown on, and asked through."""

    def inputs(self) -> Iterable[Input]:
        """Return what was pressed since the last call."""
        ...

    def show(self, picture: Picture) -> bool:
        """Show a picture; return whether it was a new one."""
        ...

    def toggle_theme(self) -> None:
        """Change between the light and the dark screen."""
        ...

    def toggle_full_screen(self) -> None:
        """Change between full screen and a window."""
        ...

    def close(self) -> None:
        """Close it."""
        ...


class NoScreen:
    """In the place of a window where there is no display: nothing is seen, and nothing pressed."""

    def inputs(self) -> Iterable[Input]:
        """Return nothing."""
        return ()

    def show(self, picture: Picture) -> bool:  # noqa: ARG002
        """Show nothing."""
        return False

    def toggle_theme(self) -> None:
        """Do nothing."""

    def toggle_full_screen(self) -> None:
        """Do nothing."""

    def close(self) -> None:
        """Do nothing."""


class Window:
    """One pygame window, full screen on the second display where there is one."""

    def __init__(
        self,
        *,
        full_screen: bool = True,
        size: tuple[int, int] | None = None,
        theme: Theme = LIGHT,
        title: str = _TITLE,
    ) -> None:
        # Without this, SDL uploads every picture to a software "GPU": 12 ms a frame instead of 4.
        os.environ.setdefault("SDL_FRAMEBUFFER_ACCELERATION", "0")
        try:
            with grumbles_hidden():
                pygame.display.init()
        except pygame.error as refused:
            raise ScreenError(NO_DISPLAY) from refused
        if pygame.display.get_driver() in _UNSEEN and not any(name in os.environ for name in _CHOSEN):
            pygame.display.quit()  # SDL found no display and draws for nobody: a lesson would run unseen
            raise ScreenError(NO_DISPLAY)
        pygame.display.set_caption(title)
        self.theme = theme
        self._size = size or _WINDOWED_SIZE
        self._full_screen = full_screen and size is None
        self._shown: tuple[Picture, str] | None = None
        self._pads: Pads | None = None
        self._open()

    def inputs(self) -> Iterator[Input]:
        """Yield what was pressed since the last call; resizing and focus are dealt with here."""
        if display_lost():
            return
        if self._pads is None:
            self._pads = Pads()  # only now: the first picture does not wait for them
        for event in pygame.event.get():
            if button := self._pads.pressed(event):
                yield KeyPress(button)
            elif button := self._pads.released(event):
                yield KeyRelease(button)
            elif event.type == pygame.QUIT:
                yield KeyPress("escape")
            elif event.type == pygame.KEYDOWN:
                # Signs sit on different keys around the world: go by what is typed.
                typed = event.unicode
                yield KeyPress(typed if typed and typed in _BY_SIGN else pygame.key.name(event.key))
            elif event.type == pygame.KEYUP:
                yield KeyRelease(pygame.key.name(event.key))
            elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
                yield Click(*event.pos)
            elif event.type in _RESIZED:
                self._fit()
            elif event.type in _UNCOVERED:
                self._shown = None  # what the screen held may be gone

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the picture in pixels."""
        return self._raster.width, self._raster.height

    def show(self, picture: Picture) -> bool:
        """Draw `picture` unless it is on the screen already; return whether it was drawn.

        Raises
        ------
        ScreenError
            If the display is gone.
        """
        if display_lost():
            raise ScreenError(DISPLAY_LOST)
        wanted = (picture, self.theme.name)
        if wanted == self._shown:
            return False
        if isinstance(picture, Menu):
            draw_menu(self._raster.canvas, picture, width=self.size[0], height=self.size[1], theme=self.theme)
        elif isinstance(picture, KeyPage):
            draw_key_page(
                self._raster.canvas, picture, width=self.size[0], height=self.size[1], theme=self.theme
            )
        else:
            self._raster.draw(picture, self.theme)
        self._screen.blit(self._picture, (0, 0))
        pygame.display.flip()
        self._shown = wanted
        return True

    def toggle_theme(self) -> None:
        """Change between the light and the dark screen."""
        self.theme = DARK if self.theme is LIGHT else LIGHT

    def toggle_full_screen(self) -> None:
        """Change between full screen and a window."""
        self._full_screen = not self._full_screen
        self._open()

    def close(self) -> None:
        """Close the window."""
        if not display_lost():
            pygame.display.quit()

    def _open(self) -> None:
        displays = pygame.display.get_num_displays()
        display = 1 if displays > 1 else 0
        try:
            if self._full_screen:
                self._screen = pygame.display.set_mode((0, 0), pygame.FULLSCREEN, display=display)
            else:
                self._screen = pygame.display.set_mode(self._size, pygame.RESIZABLE, display=display)
        except pygame.error as refused:
            raise ScreenError(NO_DISPLAY) from refused
        watch_display()
        pygame.mouse.set_visible(not self._full_screen)
        self._fit()

    def _fit(self) -> None:
        """Make the picture as large as the window now is."""
        self._screen = pygame.display.get_surface() or self._screen
        width, height = self._screen.get_size()
        self._raster = Raster(max(width, 1), max(height, 1))
        self._picture = pygame.image.frombuffer(self._raster.pixels.data, (width, height), "BGRA")
        self._shown = None

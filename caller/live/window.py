"""The window: shows scenes, and tells what was pressed. Nothing here knows the lesson.

By its own rule, Xlib ends the process when the display goes away; since version 1.7 it lets a program decide
(XSetIOErrorExitHandler). Ours notes the loss and goes on, never touching the display again, so that the
voice can finish what it is saying.
"""

from __future__ import annotations

import atexit
import ctypes
import os
import threading
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final, Protocol

import numpy as np
import pygame

from caller.errors import ScreenError
from caller.live.background import nothing_but_ours
from caller.live.words import DISPLAY_LOST, NO_DISPLAY, WINDOW_TITLE
from caller.screen.figures_on_stage import KeptFigures
from caller.screen.menu import Menu, draw_menu
from caller.screen.raster import Box, Raster, apart
from caller.screen.scene import Scene
from caller.screen.teacher_pages import KeyPage, PicturePage, draw_key_page, draw_picture_page
from caller.screen.theme import DARK, LIGHT, Theme

_WINDOWED_SIZE = (1280, 720)
_KEPT_PICTURES = 1  # of memory for figures: the loops of two, of eight beats each and more
# Blue, green, red, unused, as nearly all screens are; and to one that is not, copied without blending.
_AS_SCREENS_ARE = (0xFF0000, 0xFF00, 0xFF, 0)

_UNSEEN = frozenset({"offscreen", "dummy"})
_CHOSEN = ("SDL_VIDEODRIVER", "SDL_VIDEO_DRIVER")

_BY_SIGN = frozenset("+=-.0123456789")
_RESIZED = (pygame.VIDEORESIZE, pygame.WINDOWSIZECHANGED)
_PRESSES = (pygame.KEYDOWN, pygame.MOUSEBUTTONDOWN, pygame.JOYBUTTONDOWN, pygame.JOYHATMOTION, pygame.QUIT)
_UNCOVERED = (pygame.WINDOWEXPOSED, pygame.WINDOWRESTORED, pygame.WINDOWFOCUSGAINED)


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
class ClickRelease:
    """The main mouse button, or the finger, let go."""


@dataclass(frozen=True, slots=True)
class KeyRelease:
    """A key or button let go, by pygame's name for it."""

    key: str


@dataclass(frozen=True, slots=True)
class Pointed:
    """Where the pointer was moved to, in pixels from the top left."""

    x: int
    y: int


Input = KeyPress | KeyRelease | Click | ClickRelease | Pointed
Picture = Scene | Menu | KeyPage | PicturePage


class Screen(Protocol):
    """What a lesson is shown on, and asked through."""

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the picture in pixels."""
        ...

    def inputs(self) -> Iterable[Input]:
        """Return what was pressed since the last call."""
        ...

    def pressed(self) -> bool:
        """Tell whether something was pressed that `inputs` has not told yet."""
        ...

    def show(self, picture: Picture) -> bool:
        """Show a picture; return whether it was a new one."""
        ...

    def draw_ahead(self, scene: Scene) -> None:
        """Draw the scene that comes next without showing it yet."""
        ...

    def toggle_theme(self) -> None:
        """Change between the light and the dark screen."""
        ...

    def toggle_full_screen(self) -> None:
        """Change between full screen and a window."""
        ...

    def step_aside(self) -> None:
        """Make room for a window of another program."""
        ...

    def close(self) -> None:
        """Close it."""
        ...


class NoScreen:
    """In the place of a window where there is no display: nothing is seen, and nothing pressed."""

    size = (1, 1)

    def inputs(self) -> Iterable[Input]:
        """Return nothing."""
        return ()

    def pressed(self) -> bool:
        """Tell of nothing."""
        return False

    def show(self, picture: Picture) -> bool:  # noqa: ARG002
        """Show nothing."""
        return False

    def draw_ahead(self, scene: Scene) -> None:
        """Draw nothing."""

    def toggle_theme(self) -> None:
        """Do nothing."""

    def toggle_full_screen(self) -> None:
        """Do nothing."""

    def step_aside(self) -> None:
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
        title: str = WINDOW_TITLE,
    ) -> None:
        # Without this, SDL uploads every picture to a software "GPU": 12 ms a frame instead of 4.
        os.environ.setdefault("SDL_FRAMEBUFFER_ACCELERATION", "0")
        try:
            with nothing_but_ours():
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
        self._unsent: list[Box] = []  # of the picture, drawn ahead
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
            elif event.type == pygame.MOUSEBUTTONUP and event.button == 1:
                yield ClickRelease()
            elif event.type == pygame.MOUSEMOTION:
                yield Pointed(*event.pos)
            elif event.type in _RESIZED:
                self._fit()
            elif event.type in _UNCOVERED:
                self._shown = None  # what the screen held may be gone

    def pressed(self) -> bool:
        """Tell whether something was pressed that `inputs` has not told yet."""
        return not display_lost() and pygame.event.peek(_PRESSES)

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the picture in pixels."""
        return self._raster.width, self._raster.height

    def draw_ahead(self, scene: Scene) -> None:
        """Draw the scene that comes next, so that showing it only has to send it."""
        self._follow()
        if self._shown is not None and isinstance(self._shown[0], Scene):
            self._unsent += self._raster.draw_changes(scene, self.theme)

    def show(self, picture: Picture) -> bool:
        """Draw `picture` unless it is on the screen already; return whether it was drawn.

        Raises
        ------
        ScreenError
            If the display is gone.
        """
        if display_lost():
            raise ScreenError(DISPLAY_LOST)
        self._follow()
        wanted = (picture, self.theme.name)
        if wanted == self._shown:
            return False
        # A pointer over a clock that is being read is in the way; where something is chosen it is wanted.
        pygame.mouse.set_visible(not self._full_screen or isinstance(picture, Menu))
        width, height = self.size
        boxes = [(0, 0, width, height)]
        if isinstance(picture, Menu):
            draw_menu(self._raster.canvas, picture, width=width, height=height, theme=self.theme)
        elif isinstance(picture, KeyPage):
            draw_key_page(self._raster.canvas, picture, width=width, height=height, theme=self.theme)
        elif isinstance(picture, PicturePage):
            draw_picture_page(self._raster.canvas, picture, width=width, height=height, theme=self.theme)
        elif self._shown is None:
            self._raster.draw(picture, self.theme)
        else:
            boxes = apart([*self._unsent, *self._raster.draw_changes(picture, self.theme)])
        self._unsent = []
        sent = [(left, top, right - left, bottom - top) for left, top, right, bottom in boxes]
        for each in sent if self._picture is not self._screen else ():
            self._screen.blit(self._picture, each[:2], each)
        if sent:
            pygame.display.update(sent)
        self._shown = wanted
        return bool(sent)

    def toggle_theme(self) -> None:
        """Change between the light and the dark screen."""
        self.theme = DARK if self.theme is LIGHT else LIGHT

    def toggle_full_screen(self) -> None:
        """Change between full screen and a window."""
        self._full_screen = not self._full_screen
        self._open()

    def step_aside(self) -> None:
        """Make room for a window of another program."""
        if not display_lost():
            pygame.display.iconify()

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
        self._fit()

    def _fit(self) -> None:
        """Make the picture as large as the window now is."""
        self._screen = pygame.display.get_surface() or self._screen
        width, height = (max(pixels, 1) for pixels in self._screen.get_size())
        # What is drawn is seen only once it is sent, so where screens are as pictures are, it is drawn there.
        layout = self._screen.get_bitsize(), tuple(self._screen.get_masks()[:3]), self._screen.get_pitch()
        alike = layout == (32, _AS_SCREENS_ARE[:3], 4 * width)
        self._picture = self._screen if alike else pygame.Surface((width, height), 0, 32, _AS_SCREENS_ARE)
        self._memory = _memory_of(self._picture)
        lent = np.ctypeslib.as_array((ctypes.c_uint8 * (4 * width * height)).from_address(self._memory[0]))
        figures, pixels = KeptFigures(_KEPT_PICTURES * lent.nbytes), lent.reshape(height, width, 4)
        self._raster = Raster(width, height, figures=figures, pixels=pixels)
        self._shown, self._unsent = None, []

    def _follow(self) -> None:
        """Draw where the screen's memory now is: a window that changes its size gets another."""
        if _memory_of(self._picture) != self._memory:
            self._fit()


def _memory_of(surface: pygame.Surface) -> tuple[int, tuple[int, int]]:
    """Return where a surface's own memory begins, and for how many pixels each way."""
    return surface._pixels_address, surface.get_size()


_HATS: Final = {(-1, 0): "pad left", (1, 0): "pad right", (0, 1): "pad up", (0, -1): "pad down"}


class Pads:
    """The pads that are plugged in; they may come and go while a lesson runs."""

    def __init__(self) -> None:
        pygame.joystick.init()
        # A pad is heard only while its object lives.
        self._open: dict[int, pygame.joystick.JoystickType] = {}

    def pressed(self, event: pygame.event.Event) -> str | None:
        """Return the name of the button that an event says was pressed, if it is one of a pad's."""
        if event.type == pygame.JOYBUTTONDOWN:
            return f"pad {event.button + 1}"
        if event.type == pygame.JOYHATMOTION:
            return _HATS.get(tuple(event.value))
        if event.type == pygame.JOYDEVICEADDED:
            pad = pygame.joystick.Joystick(event.device_index)
            self._open[pad.get_instance_id()] = pad
        elif event.type == pygame.JOYDEVICEREMOVED:
            self._open.pop(event.instance_id, None)
        return None

    def released(self, event: pygame.event.Event) -> str | None:
        """Return the name of the pad's button that an event says was let go, if it is one."""
        return f"pad {event.button + 1}" if event.type == pygame.JOYBUTTONUP else None


_ON_ERROR: Final = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p)
_ON_EXIT: Final = ctypes.CFUNCTYPE(None, ctypes.c_void_p, ctypes.c_void_p)

_lost = threading.Event()


def _say_nothing(_display: int | None) -> int:
    return 0


def _note(_display: int | None, _data: int | None) -> None:
    _lost.set()
    # SDL would wait for ever for the server's farewell.
    atexit.unregister(pygame.quit)


_handlers: Final[tuple[Any, Any]] = (_ON_ERROR(_say_nothing), _ON_EXIT(_note))  # as long-lived as Xlib


def watch_display() -> None:
    """Ask Xlib to leave the process alone when the display of pygame's window goes away.

    Does nothing where the window is not X's, or where Xlib is too old.
    """
    display = pygame.display.get_wm_info().get("display")
    if display is None or pygame.display.get_driver() != "x11":
        return
    capsules = ctypes.pythonapi
    capsules.PyCapsule_GetName.restype = ctypes.c_char_p
    capsules.PyCapsule_GetName.argtypes = [ctypes.py_object]
    capsules.PyCapsule_GetPointer.restype = ctypes.c_void_p
    capsules.PyCapsule_GetPointer.argtypes = [ctypes.py_object, ctypes.c_char_p]
    pointer = capsules.PyCapsule_GetPointer(display, capsules.PyCapsule_GetName(display))
    try:
        xlib = ctypes.CDLL("libX11.so.6")  # the one that SDL has loaded
        xlib.XSetIOErrorExitHandler(ctypes.c_void_p(pointer), _handlers[1], None)
    except (OSError, AttributeError):
        return
    xlib.XSetIOErrorHandler(_handlers[0])


def display_lost() -> bool:
    """Tell whether the display is gone; nothing of pygame's display may be used then."""
    return _lost.is_set()

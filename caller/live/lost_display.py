"""Outliving the X server: by its own rule, Xlib ends the process when the display goes away.

Since version 1.7 Xlib lets a program decide (XSetIOErrorExitHandler).  Ours notes the loss and goes on,
never touching the display again, so that the voice can finish what it is saying.
"""

from __future__ import annotations

import atexit
import ctypes
import threading
from typing import Any, Final

import pygame

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

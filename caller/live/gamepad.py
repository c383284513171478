"""Game pads as buttons: what pygame tells of them, under the names that the key tables use."""

from __future__ import annotations

from typing import Final

import pygame

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

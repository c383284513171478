"""Choose one of a few tiles on the screen, by keys, presenter, pad, one switch or touch."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import Final

from caller.live.keys import Action
from caller.live.remap import Controls
from caller.live.single_switch import SingleSwitch
from caller.live.window import Click, KeyPress, KeyRelease, Window
from caller.screen.menu import Menu, Tile, tile_places
from caller.screen.scene import Scene

HINT: Final = "Arrow keys or presenter: choose. Enter or the presenter's stop key: take it. Escape: leave."
SWITCH_HINT: Final = "Press: the next one. Hold: take it."
_FRAME_S: Final = 1 / 30
_FORWARD: Final = frozenset({"right", "page down", "tab", "pad right"})
_BACKWARD: Final = frozenset({"left", "page up", "pad left"})
_TAKE: Final = frozenset({"return", "enter", "space", "b", ".", "f5", "pad 1"})
_LEAVE: Final = frozenset({"escape", "pad 2"})
_ROWS: Final = {"down": 1, "pad down": 1, "up": -1, "pad up": -1}


def choose(
    window: Window,
    tiles: Sequence[Tile],
    *,
    title: str,
    selected: int = 0,
    controls: Controls | None = None,
) -> int | None:
    """Return the number of the tile that was taken, or None when the teacher leaves."""
    controls = controls or Controls()
    switch = SingleSwitch(hold_s=controls.hold_s, ignore_again_s=controls.ignore_again_s)
    hint = SWITCH_HINT if controls.single_switch else HINT
    while True:
        began_s = time.monotonic()
        menu = Menu(tiles=tuple(tiles), selected=selected, title=title, hint=hint)
        for pressed in window.inputs():
            if isinstance(pressed, Click):
                touched = _touched(window, menu, pressed)
                if touched is not None:
                    return touched
            elif pressed.key.lower() == controls.single_switch:
                if isinstance(pressed, KeyPress):
                    switch.press(began_s)
                elif switch.release(began_s, paused=False) is not None:
                    selected = (selected + 1) % len(tiles)
            elif isinstance(pressed, KeyRelease):
                continue
            elif pressed.key in _LEAVE:
                return None
            elif pressed.key in _TAKE and tiles:
                return selected
            else:
                selected = _moved(window, menu, selected, pressed.key)
        if controls.single_switch and switch.held(began_s) is Action.REPEAT:
            return selected
        window.show(Menu(tiles=tuple(tiles), selected=selected, title=title, hint=hint))
        time.sleep(max(_FRAME_S - (time.monotonic() - began_s), 0.0))


def show_until_pressed(window: Window, scene: Scene) -> None:
    """Show a picture until any button is pressed."""
    while not any(isinstance(each, KeyPress | Click) for each in window.inputs()):
        window.show(scene)
        time.sleep(_FRAME_S)


def _moved(window: Window, menu: Menu, selected: int, key: str) -> int:
    step = 1 if key in _FORWARD else -1 if key in _BACKWARD else _ROWS.get(key, 0) * _columns(window, menu)
    moved = selected + step
    if abs(step) == 1:
        return moved % len(menu.tiles)  # a presenter has no other way back to the first
    return moved if 0 <= moved < len(menu.tiles) else selected


def _columns(window: Window, menu: Menu) -> int:
    places = tile_places(menu, *window.size).tiles.values()
    first = min(place.y for place in places)
    return sum(place.y == first for place in places)


def _touched(window: Window, menu: Menu, click: Click) -> int | None:
    for number, place in tile_places(menu, *window.size).tiles.items():
        if place.x <= click.x <= place.x + place.width and place.y <= click.y <= place.y + place.height:
            return number
    return None

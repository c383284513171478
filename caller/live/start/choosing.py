"""Choose one of a few tiles on the screen, by keys, presenter, pad, one switch or touch."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from caller.errors import MachineError
from caller.live.controls.buttons import SingleSwitch
from caller.live.controls.keys import Controls
from caller.live.performance.performance import with_keys
from caller.live.room import Room
from caller.live.window import Click, Input, KeyPress, KeyRelease, Screen
from caller.live.words import label_of, said, spoken
from caller.record.store import Store
from caller.record.telling import what_happened
from caller.runsheet.model import Board
from caller.screen.keypage import KeyPage
from caller.screen.keytable import Action, keys_for
from caller.screen.menu import Menu, Tile, tile_places
from caller.screen.scene import Scene

_FRAME_S: Final = 1 / 30
_FORWARD: Final = ("right", "page down", "tab", "pad right")
_BACKWARD: Final = ("left", "page up", "pad left")
_TAKE: Final = ("return", "space", "enter", "b", ".", "f5", "pad 1")
_LEAVE: Final = ("escape", "pad 2")
_ROWS: Final = {"down": 1, "up": -1, "pad down": 1, "pad up": -1}


@dataclass(slots=True)
class _Choice:
    """What is chosen so far."""

    selected: int
    taken: int | None = None
    left: bool = False
    keys_shown: bool = False


def choose(room: Room, tiles: Sequence[Tile], *, title: str, selected: int = 0) -> int | None:
    """Return the number of the tile that was taken, or None when the teacher leaves."""
    screen, controls = room.screen, room.controls
    switch = SingleSwitch(hold_s=controls.hold_s, ignore_again_s=controls.ignore_again_s)
    hint = with_keys(said("choose.switch-hint") if controls.single_switch else said("choose.hint"), controls)
    choice = _Choice(selected)
    while True:
        began_s = time.monotonic()
        menu = Menu(tiles=tuple(tiles), selected=choice.selected, title=title, hint=hint)
        for pressed in screen.inputs():
            _press(pressed, began_s, choice, menu, switch, room)
            menu = Menu(tiles=menu.tiles, selected=choice.selected, title=title, hint=hint)
            if choice.taken is not None or choice.left:
                return choice.taken
        if controls.single_switch and switch.held(began_s) is Action.REPEAT:
            return choice.selected
        screen.show(_keys(controls) if choice.keys_shown else menu)
        time.sleep(max(_FRAME_S - (time.monotonic() - began_s), 0.0))


def show_until_pressed(screen: Screen, scene: Scene) -> None:
    """Show a picture until any button is pressed."""
    while not any(isinstance(each, KeyPress | Click) for each in screen.inputs()):
        screen.show(scene)
        time.sleep(_FRAME_S)


def show_what_happened(room: Room, class_name: str) -> None:
    """Show the class's last lesson in a few lines until a button is pressed; nothing where none is kept."""
    try:
        with Store() as store:
            lessons = store.lessons(class_name)
    except MachineError:
        return  # the lesson itself said so
    if not lessons:
        return
    title = ": ".join(part for part in (class_name, lessons[-1].title) if part) or said("after.this-lesson")
    board = Board(
        layout="points", title=title, points=what_happened(lessons[-1], spoken()), move="slow-breaths"
    )
    show_until_pressed(room.screen, Scene(board=board, caption=said("after.back-to-start")))


def _press(
    pressed: Input, now_s: float, choice: _Choice, menu: Menu, switch: SingleSwitch, room: Room
) -> None:
    controls = room.controls
    if choice.keys_shown:
        choice.keys_shown = isinstance(pressed, KeyRelease)
    elif isinstance(pressed, Click):
        choice.taken = _touched(room.screen, menu, pressed)
    elif pressed.key.lower() == controls.single_switch:
        if isinstance(pressed, KeyPress):
            switch.press(now_s)
        elif switch.release(now_s, paused=False) is not None:
            choice.selected = (choice.selected + 1) % len(menu.tiles)
    elif isinstance(pressed, KeyRelease):
        return
    elif pressed.key in _LEAVE:
        choice.left = True
    elif pressed.key in _TAKE and menu.tiles:
        choice.taken = choice.selected
    elif controls.keys.get(pressed.key.lower()) is Action.HELP:
        choice.keys_shown = True
    elif menu.tiles:
        choice.selected = _moved(room.screen, menu, choice.selected, pressed.key)


def _keys(controls: Controls) -> KeyPage:
    """Return what the buttons do while something is chosen."""

    def rows() -> Iterator[tuple[tuple[str, ...], str]]:
        for keys, text in (
            (_FORWARD, said("choose.next")),
            (_BACKWARD, said("choose.last")),
            (_ROWS, said("choose.row")),
            (_TAKE, said("choose.take")),
            (_LEAVE, said("choose.leave")),
            (keys_for(Action.HELP, controls.keys), said("choose.help")),
        ):
            yield tuple(label_of(key) for key in keys), text

    foot = f"{said('choose.touch')} {with_keys(said('choose.foot'), controls)}"
    return KeyPage(title=said("choose.title"), rows=tuple(rows()), foot=foot)


def _moved(screen: Screen, menu: Menu, selected: int, key: str) -> int:
    step = 1 if key in _FORWARD else -1 if key in _BACKWARD else _ROWS.get(key, 0) * _columns(screen, menu)
    moved = selected + step
    if abs(step) == 1:
        return moved % len(menu.tiles)  # a presenter has no other way back to the first
    return moved if 0 <= moved < len(menu.tiles) else selected


def _columns(screen: Screen, menu: Menu) -> int:
    places = tile_places(menu, *screen.size).tiles.values()
    first = min(place.y for place in places)
    return sum(place.y == first for place in places)


def _touched(screen: Screen, menu: Menu, click: Click) -> int | None:
    for number, place in tile_places(menu, *screen.size).tiles.items():
        if place.x <= click.x <= place.x + place.width and place.y <= click.y <= place.y + place.height:
            return number
    return None

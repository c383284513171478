"""Choose one of a few tiles on the screen, by keys, presenter, pad, mouse, touch or one button alone."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from caller.errors import MachineError
from caller.live.keys import Controls, with_keys
from caller.live.performance.presses import LEFT_ALONE_S, LOOK_ALONE_S, SingleSwitch
from caller.live.room import Room
from caller.live.window import Click, ClickRelease, Input, KeyPress, KeyRelease, Pointed, Screen
from caller.live.words import label_for, label_of, said, spoken
from caller.record.store import Store
from caller.record.telling import what_happened
from caller.runsheet import Board
from caller.screen.keytable import Action, keys_for
from caller.screen.menu import BarButton, Menu, Tile, most_on_a_page, tile_places
from caller.screen.scene import Scene
from caller.screen.teacher_pages import KeyPage
from caller.timeline.picture import FRAME_S

_MOVED_PX: Final = 8
_SWITCH: Final = "space"  # the one button of somebody who uses no other, unless `keys.toml` names one
_FORWARD: Final = ("right", "page down", "tab", "pad right")
_BACKWARD: Final = ("left", "page up", "pad left")
_TAKE: Final = ("return", "enter", "b", ".", "f5", "pad 1")
_LEAVE: Final = ("escape", "backspace", "pad 2")
_ROWS: Final = {"down": 1, "up": -1, "pad down": 1, "pad up": -1}


@dataclass(slots=True)
class _Choice:
    """What is chosen so far."""

    selected: int
    page: int = 0
    taken: int | None = None
    left: bool = False
    keys_shown: bool = False
    by_switch: bool = False
    pointer: tuple[int, int] | None = None  # where it was when it was first noticed


def choose(
    room: Room,
    tiles: Sequence[Tile] | Callable[[], Sequence[Tile]],
    *,
    title: str,
    selected: int = 0,
    back: str = "",
    until: Callable[[], bool] | None = None,
) -> int | None:
    """Return the number of the tile that was taken, or None when the teacher goes back.

    Whoever takes by holding the one button is led by that button in the lesson too, until another is used.

    Parameters
    ----------
    tiles
        What can be chosen; or what returns it at each picture, always as many.
    back
        The word on the button that goes back, where it is another than that.
    until
        Asked at each picture; where it says so, the choice ends as if the teacher had gone back.
    """
    screen, controls = room.screen, room.controls
    one = controls.single_switch or _SWITCH
    switch = SingleSwitch(hold_s=controls.hold_s, ignore_again_s=controls.ignore_again_s)
    choice = _Choice(selected)
    bar = (
        BarButton(sign="back", text=back or said("start.back"), key=label_of("escape")),
        BarButton(sign="keys", text=said("keys.title"), key=label_for(Action.HELP, controls.keys)),
    )
    if controls.single_switch:
        ways: tuple[tuple[tuple[str, ...], str], ...] = (((label_of(one),), said("choose.switch-hint")),)
    else:
        ways = (
            (tuple(label_of(key) for key in ("left", "right")), said("choose.choose")),
            ((label_of("return"),), said("choose.take")),
        )

    def menu() -> Menu:
        return Menu(
            tiles=tuple(tiles() if callable(tiles) else tiles),
            selected=choice.selected,
            title=title,
            ways=ways,
            hint=said("choose.hint"),
            bar=bar,
            page=choice.page,
        )

    count = len(menu().tiles)
    shown: Menu | KeyPage | None = None
    touched_s = time.monotonic()
    while True:
        began_s = time.monotonic()
        for pressed in screen.inputs():
            shown, touched_s = None, began_s
            _press(pressed, began_s, choice, menu(), switch, one, room)
            if choice.taken is None and not choice.left and switch.held(began_s) is Action.REPEAT:
                choice.taken, choice.by_switch = choice.selected, True
            _take_bar(choice, count)
            if choice.taken is not None or choice.left:
                break
        if switch.held(began_s) is Action.REPEAT:
            choice.taken, choice.by_switch = choice.selected, True
            _take_bar(choice, count)
        if choice.taken is not None or choice.left:
            room.by_one_switch(choice.by_switch)
            return choice.taken
        if until is not None and until():
            return None
        if shown is None or callable(tiles):
            shown = _keys(controls) if choice.keys_shown else menu()
        screen.show(shown)
        rest_s = FRAME_S if callable(tiles) or began_s - touched_s < LEFT_ALONE_S else LOOK_ALONE_S
        time.sleep(max(rest_s - (time.monotonic() - began_s), 0.0))


def tell(room: Room, text: str) -> None:
    """Show a sentence, large, until the teacher goes back."""
    choose(room, [Tile(title=text)], title="")


def show_until_pressed(screen: Screen, scene: Scene) -> None:
    """Show a picture until any button is pressed."""
    while not any(isinstance(each, KeyPress | Click) for each in screen.inputs()):
        screen.show(scene)
        time.sleep(FRAME_S)


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
    pressed: Input, now_s: float, choice: _Choice, menu: Menu, switch: SingleSwitch, one: str, room: Room
) -> None:
    count = len(menu.tiles) + len(menu.bar)
    if choice.keys_shown:
        choice.keys_shown = isinstance(pressed, KeyRelease | ClickRelease | Pointed)
        if isinstance(pressed, KeyRelease) and pressed.key.lower() == one:
            switch.release(now_s, paused=False)
    elif isinstance(pressed, Click | Pointed):
        _point(pressed, choice, menu, room.screen)
    elif isinstance(pressed, ClickRelease):
        return
    elif pressed.key.lower() == one:
        if isinstance(pressed, KeyPress):
            switch.press(now_s)
        elif switch.release(now_s, paused=False) is not None:
            _select(choice, (choice.selected + 1) % count, menu, room.screen)
    elif isinstance(pressed, KeyRelease):
        return
    elif pressed.key in _LEAVE:
        choice.left = True
    elif pressed.key in _TAKE:
        choice.taken = choice.selected
    elif room.controls.keys.get(pressed.key.lower()) is Action.HELP:
        choice.keys_shown = True
    elif room.controls.keys.get(pressed.key.lower()) is Action.THEME:
        room.screen.toggle_theme()
    elif room.controls.keys.get(pressed.key.lower()) is Action.FULL_SCREEN:
        room.screen.toggle_full_screen()
    else:
        _select(choice, _moved(room.screen, menu, choice.selected, pressed.key), menu, room.screen)


def _point(pressed: Click | Pointed, choice: _Choice, menu: Menu, screen: Screen) -> None:
    """Choose what the pointer was moved to; take it, or turn the page, where it was pressed.

    A pointer that only lies where it was left chooses nothing.
    """
    if choice.pointer is None:
        choice.pointer = (pressed.x, pressed.y)
    moved = max(abs(pressed.x - choice.pointer[0]), abs(pressed.y - choice.pointer[1]))
    if isinstance(pressed, Pointed) and moved < _MOVED_PX:
        return
    places = tile_places(menu, *screen.size)
    under = places.under(pressed.x, pressed.y)
    if under is not None:
        _select(choice, under, menu, screen)
        if isinstance(pressed, Click):
            choice.taken = under
    elif isinstance(pressed, Click) and (turned := places.page_turned(pressed.x, pressed.y)):
        page = (places.page + turned) % places.pages
        _select(choice, page * most_on_a_page(*screen.size), menu, screen)


def _select(choice: _Choice, number: int, menu: Menu, screen: Screen) -> None:
    choice.selected = number
    if number < len(menu.tiles):
        choice.page = number // most_on_a_page(*screen.size)


def _take_bar(choice: _Choice, count: int) -> None:
    """Do what the buttons of the bar do, where one of them was taken."""
    if choice.taken is None or choice.taken < count:
        return
    if choice.taken == count:
        choice.left = True
    else:
        choice.keys_shown = True
    choice.taken = None


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
            ((controls.single_switch or _SWITCH,), said("choose.switch-hint")),
        ):
            yield tuple(label_of(key) for key in keys), text

    foot = f"{said('choose.touch')} {with_keys(said('choose.foot'), controls)}"
    return KeyPage(title=said("choose.title"), rows=tuple(rows()), foot=foot)


def _moved(screen: Screen, menu: Menu, selected: int, key: str) -> int:
    count, tiles = len(menu.tiles) + len(menu.bar), len(menu.tiles)
    if key in _FORWARD:
        return (selected + 1) % count
    if key in _BACKWARD:
        return (selected - 1) % count  # a presenter has no other way to what stands before
    rows = _ROWS.get(key, 0)
    if not rows or not tiles:
        return selected
    if selected >= tiles:
        return selected if rows > 0 else tiles - 1
    moved = selected + rows * tile_places(menu, *screen.size).columns
    if moved >= tiles:
        return tiles  # under the last row stands what goes back
    return moved if moved >= 0 else selected

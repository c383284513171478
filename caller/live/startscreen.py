"""The start screen: pick a lesson by its picture, check the sound, see the safety points, go."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

from caller.clock.times import ClockTime
from caller.errors import UserError
from caller.lesson.library import ready_lessons
from caller.lesson.model import Lesson
from caller.lesson.reading import read_lesson
from caller.live.session import Ending, Options, run
from caller.live.window import Click, Window
from caller.paths import user_data
from caller.runsheet.prelude import prelude
from caller.runsheet.sequence import make_run_sheet
from caller.screen.menu import Menu, Tile, tile_places
from caller.sound.voice import VoiceBox

TITLE = "Which lesson?"
HINT = "Arrow keys or presenter: choose. Enter or the presenter's stop key: take it. Escape: leave."
_FRAME_S = 1 / 30
_FORWARD = frozenset({"right", "page down", "tab"})
_BACKWARD = frozenset({"left", "page up"})
_TAKE = frozenset({"return", "enter", "space", "b", ".", "f5"})


def lessons_on_offer() -> dict[Path, Lesson]:
    """Return the teacher's own lessons, then the ready ones; scripts that cannot be read are left out."""
    own = sorted((user_data() / "lessons").glob("*.toml"))
    readable: dict[Path, Lesson] = {}
    for path in [*own, *ready_lessons().values()]:
        try:
            readable[path] = read_lesson(path)
        except UserError:
            continue  # `caller check` says what is wrong with it; the start screen offers what works
    return readable


def start(window: Window, options: Options) -> None:
    """Lead from the picture of a lesson to its end, and back, until the teacher leaves."""
    selected = 0
    with VoiceBox() as voice:
        while True:
            offered = list(lessons_on_offer().values())
            chosen = _choose(window, [_tile(lesson) for lesson in offered], selected)
            if chosen is None:
                return
            selected = chosen
            lead(offered[chosen], window, options, voice)


def lead(lesson: Lesson, window: Window, options: Options, voice: VoiceBox) -> None:
    """Check the sound, show the safety points, and run the lesson; stopping any of them ends it."""
    run_sheet = make_run_sheet(lesson)
    before = prelude(lesson)
    asking = replace(options, confirm_stop=False, first_round=None)
    for call in before.calls:
        ending = Ending.ENDED
        while ending is Ending.ENDED:  # said again until somebody presses on
            ending = run(replace(before, calls=(call,)), window, asking, voice, soon=run_sheet)
        if ending is Ending.STOPPED:
            return
    run(run_sheet, window, options, voice)


def _tile(lesson: Lesson) -> Tile:
    times = [each.time for each in lesson.rounds if isinstance(each.time, ClockTime)]
    length = f"{lesson.minutes} min" if lesson.minutes else ""
    note = ", ".join(part for part in (lesson.class_name, length) if part)
    return Tile(title=lesson.title or "Lesson", note=note, time=times[0] if times else None)


def _choose(window: Window, tiles: list[Tile], selected: int) -> int | None:
    """Return the number of the tile that was taken, or None when the teacher leaves."""
    while True:
        began_s = time.monotonic()
        for pressed in window.inputs():
            if isinstance(pressed, Click):
                touched = _touched(window, tiles, selected, pressed)
                if touched is not None:
                    return touched
            elif pressed.key == "escape":
                return None
            elif pressed.key in _TAKE and tiles:
                return selected
            else:
                selected = _moved(window, tiles, selected, pressed.key)
        window.show(_menu(tiles, selected))
        time.sleep(max(_FRAME_S - (time.monotonic() - began_s), 0.0))


def _menu(tiles: list[Tile], selected: int) -> Menu:
    return Menu(tiles=tuple(tiles), selected=selected, title=TITLE, hint=HINT)


def _moved(window: Window, tiles: list[Tile], selected: int, key: str) -> int:
    rows = _columns(window, tiles, selected)
    step = 1 if key in _FORWARD else -1 if key in _BACKWARD else {"down": rows, "up": -rows}.get(key, 0)
    moved = selected + step
    if abs(step) == 1:
        return moved % len(tiles)  # a presenter has no other way back to the first
    return moved if 0 <= moved < len(tiles) else selected


def _columns(window: Window, tiles: list[Tile], selected: int) -> int:
    places = tile_places(_menu(tiles, selected), *window.size).tiles.values()
    first = min(place.y for place in places)
    return sum(place.y == first for place in places)


def _touched(window: Window, tiles: list[Tile], selected: int, click: Click) -> int | None:
    for number, place in tile_places(_menu(tiles, selected), *window.size).tiles.items():
        if place.x <= click.x <= place.x + place.width and place.y <= click.y <= place.y + place.height:
            return number
    return None

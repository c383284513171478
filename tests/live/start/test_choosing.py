from __future__ import annotations

from collections.abc import Iterator, Sequence
from types import SimpleNamespace
from typing import cast

import pytest

from caller.live.controls.keys import Controls
from caller.live.room import Room
from caller.live.start.choosing import choose
from caller.live.window import Click, Input, KeyPress, KeyRelease
from caller.screen.keypage import KeyPage
from caller.screen.keytable import Action
from caller.screen.menu import Menu, Tile, tile_places

TILES = tuple(Tile(title=name) for name in ("Terns", "Puffins", "Gannets", "Skuas", "Eiders", "Fulmars"))


class Hands:
    """A window whose presses are written down beforehand, one list for each look at it."""

    size = (1280, 720)

    def __init__(self, *pressed: Sequence[Input]) -> None:
        self._pressed = list(pressed)
        self.shown: list[Menu | KeyPage] = []

    def inputs(self) -> Iterator[Input]:
        yield from self._pressed.pop(0) if self._pressed else ()

    def show(self, picture: Menu | KeyPage) -> bool:
        self.shown.append(picture)
        return True


def chosen(*pressed: Sequence[Input], controls: Controls | None = None) -> int | None:
    room = SimpleNamespace(screen=Hands(*pressed), controls=controls or Controls())
    return choose(cast(Room, room), TILES, title="Which class?")


def keys(*names: str) -> list[Input]:
    return [KeyPress(name) for name in names]


@pytest.mark.parametrize(
    ("pressed", "number"),
    [
        (keys("return"), 0),
        (keys("right", "right", "return"), 2),
        (keys("page down", "."), 1),  # a presenter: forward, and the button for a dark screen
        (keys("pad right", "pad 1"), 1),
        (keys("left", "return"), 5),
        (keys("down", "return"), 3),
        (keys("down", "down", "up", "return"), 0),
        (keys("escape"), None),
        (keys("right", "pad 2"), None),
    ],
)
def test_keys_presenters_and_pads_choose(pressed: list[Input], number: int | None) -> None:
    assert chosen(pressed) == number


def test_a_touched_tile_is_taken() -> None:
    place = tile_places(Menu(tiles=TILES), 1280, 720).tiles[4]
    assert chosen([Click(3, 3)], [Click(round(place.centre_x), round(place.centre_y))]) == 4


def test_one_switch_steps_through_the_tiles_and_takes_one_by_holding(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter(range(1000))
    monkeypatch.setattr("caller.live.start.choosing.time.monotonic", lambda: float(next(clock)))
    monkeypatch.setattr("caller.live.start.choosing.time.sleep", lambda seconds: None)
    switch = Controls(single_switch="space", hold_s=5.0)
    press, release = KeyPress("space"), KeyRelease("space")
    assert chosen([press], [release], [press], [release], [press], controls=switch) == 2


@pytest.mark.parametrize("key", ["h", "F1"])
def test_the_keys_are_shown_wherever_something_is_chosen_and_any_key_puts_them_away(key: str) -> None:
    hands = Hands(keys(key), [], keys("escape"), keys("right", "return"))
    room = SimpleNamespace(screen=hands, controls=Controls())
    assert choose(cast(Room, room), TILES, title="Which class?") == 1
    kinds = [type(picture) for picture in hands.shown]
    assert kinds == [KeyPage, KeyPage, Menu]
    page = hands.shown[0]
    assert isinstance(page, KeyPage)
    assert "Enter" in {name for names, _text in page.rows for name in names}


def test_the_hint_names_the_key_that_shows_the_keys_as_it_is_mapped_here() -> None:
    hands = Hands([], keys("escape"))
    own = Controls(keys={"k": Action.HELP, "escape": Action.QUIT})
    assert choose(cast(Room, SimpleNamespace(screen=hands, controls=own)), TILES, title="?") is None
    menu = hands.shown[0]
    assert isinstance(menu, Menu)
    assert "K: all keys" in menu.hint

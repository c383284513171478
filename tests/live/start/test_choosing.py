from __future__ import annotations

from collections.abc import Iterator, Sequence
from types import SimpleNamespace
from typing import cast

import pytest

from caller.live.keys import Controls
from caller.live.room import Room
from caller.live.start.choosing import choose
from caller.live.window import Click, Input, KeyPress, KeyRelease, Pointed
from caller.screen.keytable import Action
from caller.screen.menu import Menu, Tile, tile_places
from caller.screen.teacher_pages import KeyPage

TILES = tuple(Tile(title=name) for name in ("Terns", "Puffins", "Gannets", "Skuas", "Eiders", "Fulmars"))


class Hands:
    """A window whose presses are written down beforehand, one list for each look at it."""

    size = (1280, 720)

    def __init__(self, *pressed: Sequence[Input]) -> None:
        self._pressed = list(pressed)
        self.shown: list[Menu | KeyPage] = []

    def pressed(self) -> bool:
        return False

    def inputs(self) -> Iterator[Input]:
        yield from self._pressed.pop(0) if self._pressed else ()

    def show(self, picture: Menu | KeyPage) -> bool:
        self.shown.append(picture)
        return True


def room_of(screen: Hands, controls: Controls | None = None) -> Room:
    room = SimpleNamespace(screen=screen, controls=controls or Controls(), switched=[])
    room.by_one_switch = room.switched.append
    return cast(Room, room)


def chosen(*pressed: Sequence[Input], controls: Controls | None = None) -> int | None:
    return choose(room_of(Hands(*pressed), controls), TILES, title="Which class?")


def keys(*names: str) -> list[Input]:
    return [KeyPress(name) for name in names]


@pytest.mark.parametrize(
    ("pressed", "number"),
    [
        (keys("return"), 0),
        (keys("right", "right", "return"), 2),
        (keys("page down", "."), 1),  # a presenter: forward, and the button for a dark screen
        (keys("pad right", "pad 1"), 1),
        (keys("left", "left", "left", "return"), 5),  # past the two buttons of the bar
        (keys("left", "left", "return"), None),  # one of which goes back
        (keys("down", "down", "return"), None),
        (keys("down", "down", "up", "up", "return"), 2),
        (keys("down", "return"), 3),
        (keys("down", "up", "return"), 0),
        (keys("escape"), None),
        (keys("right", "pad 2"), None),
    ],
)
def test_keys_presenters_and_pads_choose(pressed: list[Input], number: int | None) -> None:
    assert chosen(pressed) == number


def test_a_touched_tile_is_taken() -> None:
    place = tile_places(Menu(tiles=TILES), 1280, 720).tiles[4]
    assert chosen([Click(3, 3)], [Click(round(place.centre_x), round(place.centre_y))]) == 4


@pytest.mark.parametrize("named", ["space", ""])
def test_one_switch_steps_through_the_tiles_and_takes_one_by_holding(
    named: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = iter(range(1000))
    monkeypatch.setattr("caller.live.start.choosing.time.monotonic", lambda: float(next(clock)))
    monkeypatch.setattr("caller.live.start.choosing.time.sleep", lambda seconds: None)
    switch = Controls(single_switch=named, hold_s=5.0)
    press, release = KeyPress("space"), KeyRelease("space")
    room = room_of(Hands([press], [release], [press], [release], [press]), switch)
    assert choose(room, TILES, title="Which class?") == 2
    assert room.switched == [True]  # type: ignore[attr-defined]


def test_the_pointer_chooses_and_a_press_on_the_bar_goes_back() -> None:
    places = tile_places(chooser(), 1280, 720)
    tile, back = places.tiles[4], places.bar[6]
    hands = Hands(
        [Pointed(round(places.tiles[2].centre_x), round(places.tiles[2].centre_y))],  # it was left there
        [Pointed(round(tile.centre_x), round(tile.centre_y))],
        [Click(round(back.centre_x), round(back.centre_y))],
    )
    assert choose(room_of(hands), TILES, title="Which class?") is None
    assert [picture.selected for picture in hands.shown if isinstance(picture, Menu)] == [0, 4]


def test_more_tiles_than_a_page_holds_are_turned_to_by_a_press() -> None:
    many = tuple(Tile(title=str(number)) for number in range(30))
    places = tile_places(Menu(tiles=many), 1280, 720)
    assert places.after is not None
    hands = Hands([Click(round(places.after.centre_x), round(places.after.centre_y))], keys("return"))
    assert choose(room_of(hands), many, title="Which?") == 12


def chooser() -> Menu:
    """Return the page that is shown, by what the choice itself shows first."""
    hands = Hands([], keys("escape"))
    choose(room_of(hands), TILES, title="Which class?")
    assert isinstance(hands.shown[0], Menu)
    return hands.shown[0]


@pytest.mark.parametrize("key", ["h", "F1"])
def test_the_keys_are_shown_wherever_something_is_chosen_and_any_key_puts_them_away(key: str) -> None:
    hands = Hands(keys(key), [], keys("escape"), keys("right", "return"))
    assert choose(room_of(hands), TILES, title="Which class?") == 1
    kinds = [type(picture) for picture in hands.shown]
    assert kinds == [KeyPage, KeyPage, Menu]
    page = hands.shown[0]
    assert isinstance(page, KeyPage)
    assert "Enter" in {name for names, _text in page.rows for name in names}


def test_the_bar_names_the_key_that_shows_the_keys_as_it_is_mapped_here() -> None:
    hands = Hands([], keys("escape"))
    own = Controls(keys={"k": Action.HELP, "escape": Action.QUIT})
    assert choose(room_of(hands, own), TILES, title="?") is None
    menu = hands.shown[0]
    assert isinstance(menu, Menu)
    assert menu.bar[1].key == "K"

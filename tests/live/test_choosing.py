from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import cast

import pytest

from caller.live.choosing import choose
from caller.live.remap import Controls
from caller.live.window import Click, Input, KeyPress, KeyRelease, Window
from caller.screen.menu import Menu, Tile, tile_places

TILES = tuple(Tile(title=name) for name in ("Terns", "Puffins", "Gannets", "Skuas", "Eiders", "Fulmars"))


class Hands:
    """A window whose presses are written down beforehand, one list for each look at it."""

    size = (1280, 720)

    def __init__(self, *pressed: Sequence[Input]) -> None:
        self._pressed = list(pressed)

    def inputs(self) -> Iterator[Input]:
        yield from self._pressed.pop(0) if self._pressed else ()

    def show(self, _picture: Menu) -> bool:
        return True


def chosen(*pressed: Sequence[Input], controls: Controls | None = None) -> int | None:
    return choose(cast(Window, Hands(*pressed)), TILES, title="Which class?", controls=controls)


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
    monkeypatch.setattr("caller.live.choosing.time.monotonic", lambda: float(next(clock)))
    monkeypatch.setattr("caller.live.choosing.time.sleep", lambda seconds: None)
    switch = Controls(single_switch="space", hold_s=5.0)
    press, release = KeyPress("space"), KeyRelease("space")
    assert chosen([press], [release], [press], [release], [press], controls=switch) == 2

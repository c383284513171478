"""The menu of pictures."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from caller.clock import ClockTime
from caller.screen.menu import Menu, Tile, draw_menu, tile_places
from caller.screen.skia_door import skia
from caller.screen.theme import DARK, LIGHT
from tests.reference.dial_reader import read_dial


def menu(count: int, selected: int = 0) -> Menu:
    tiles = tuple(
        Tile(title=f"Lesson {n}", note="18 min", time=ClockTime(n % 12 + 1, n * 5 % 60)) for n in range(count)
    )
    return Menu(tiles=tiles, selected=selected, title="Pick a lesson", hint="Arrow keys move")


def drawn(shown: Menu, width: int, height: int) -> NDArray[np.uint8]:
    surface = skia.Surface(width, height)
    draw_menu(surface.getCanvas(), shown, width=width, height=height, theme=LIGHT)
    return np.asarray(surface.toarray())


@given(
    count=st.integers(1, 40),
    share=st.floats(0.0, 0.999),
    width=st.integers(640, 3840),
    height=st.integers(360, 2160),
)
def test_tiles_stand_inside_the_picture_clear_of_each_other(
    count: int, share: float, width: int, height: int
) -> None:
    selected = int(share * count)
    placed = tile_places(menu(count, selected), width, height)
    assert selected in placed.tiles
    assert len(placed.tiles) <= 12
    for tile in placed.tiles.values():
        assert tile.x >= 0
        assert tile.right <= width
        assert tile.y > 0.1 * min(height, 0.75 * width)
        assert tile.bottom < height - 0.1 * min(height, 0.75 * width)
    for one, other in combinations(placed.tiles.values(), 2):
        apart_x = one.right < other.x or other.right < one.x
        assert apart_x or one.bottom < other.y or other.bottom < one.y


def test_every_tile_is_on_exactly_one_page() -> None:
    pages = {tuple(tile_places(menu(30, n), 1920, 1080).tiles) for n in range(30)}
    assert sorted(number for page in pages for number in page) == list(range(30))


def test_the_chosen_tile_alone_has_a_heavy_edge() -> None:
    shown = menu(6, selected=2)
    pixels = drawn(shown, 1280, 720)
    for number, tile in tile_places(shown, 1280, 720).tiles.items():
        blue, green, red, _ = (int(v) for v in pixels[round(tile.centre_y), round(tile.x) + 2])
        chosen = (red << 16 | green << 8 | blue) == LIGHT.strip & 0xFFFFFF
        assert chosen == (number == 2)


def test_the_dials_on_the_tiles_can_be_read() -> None:
    shown = menu(4)
    pixels = drawn(shown, 1920, 1080)
    for number, tile in tile_places(shown, 1920, 1080).tiles.items():
        time = shown.tiles[number].time
        assert time is not None
        inside = pixels[round(tile.y) + 14 : round(tile.bottom) - 14, round(tile.x) + 20 :]
        assert read_dial(inside[:, : round(0.36 * tile.width) - 16]).time == (time.hour, time.minute)


@pytest.mark.parametrize(("width", "height"), [(640, 360), (1024, 768), (1080, 1920)])
def test_long_titles_and_empty_menus_are_drawn(width: int, height: int) -> None:
    long = Menu(
        tiles=(Tile(title="A very long title " * 6), Tile(title="")), title="Menu " * 30, hint="h " * 90
    )
    for shown in (long, Menu(tiles=())):
        surface = skia.Surface(width, height)
        draw_menu(surface.getCanvas(), shown, width=width, height=height, theme=DARK)
        assert (np.asarray(surface.toarray())[0, :, 2] == DARK.background >> 16 & 0xFF).all()

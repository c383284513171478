"""The pages that lie over a lesson: buttons on their own ground, and what shows a projector's faults."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.screen.caption import CAPTION_SIZE
from caller.screen.layout import unit_of
from caller.screen.raster import Raster
from caller.screen.teacher_pages import GREYS, TESTED, KeyPage, PicturePage, draw_key_page, draw_picture_page
from caller.screen.text import cap_height
from caller.screen.theme import DARK, LIGHT, Theme
from tests.reference.dial_reader import read_dial
from tests.screen.test_theme import grey

SIZES = ((1024, 768), (1366, 768), (1920, 1080), (3840, 2160))
PAGE = PicturePage(
    title="Is the picture right?",
    rows=("One.", "Two.", "Three.", "Four.", "Five."),
    read="Read this?",
    foot="P",
)

sizes = pytest.mark.parametrize("size", SIZES, ids=lambda size: "x".join(map(str, size)))
themes = pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)


def page_of(size: tuple[int, int], theme: Theme) -> NDArray[np.uint8]:
    raster = Raster(*size)
    draw_picture_page(raster.canvas, PAGE, width=size[0], height=size[1], theme=theme)
    return raster.pixels[..., :3]


def is_colour(pixels: NDArray[np.uint8], colour: int) -> NDArray[np.bool_]:
    wanted = np.array([colour & 0xFF, colour >> 8 & 0xFF, colour >> 16 & 0xFF], dtype=np.uint8)
    return np.asarray((pixels == wanted).all(axis=-1))


def test_every_button_of_the_key_page_stands_on_its_own_ground() -> None:
    raster = Raster(1280, 720)
    rows = tuple(((f"F{number}",), "does something") for number in range(1, 13))
    draw_key_page(
        raster.canvas, KeyPage(title="Keys", rows=rows, foot="foot"), width=1280, height=720, theme=LIGHT
    )
    assert 0.005 < is_colour(raster.pixels[..., :3], LIGHT.face).mean() < 0.2


@sizes
@themes
def test_the_frame_lies_on_the_outermost_pixels(size: tuple[int, int], theme: Theme) -> None:
    ink = is_colour(page_of(size, theme), theme.ink)
    assert ink[0].all()
    assert ink[-1].all()
    assert ink[:, 0].all()
    assert ink[:, -1].all()
    reach = round(0.01 * unit_of(*size))
    assert all(corner.all() for corner in (ink[:reach, :reach], ink[-reach:, -reach:]))


@sizes
@themes
def test_lines_of_one_pixel_stand_in_the_middle_and_in_each_corner(
    size: tuple[int, int], theme: Theme
) -> None:
    """Ten changes from pixel to pixel in a run are nothing but such lines, whatever their direction."""
    ink = is_colour(page_of(size, theme), theme.ink)
    pale = is_colour(page_of(size, theme), theme.face)
    width, height = size
    side = round(0.15 * unit_of(*size))
    middle = slice(height // 5, 2 * height // 3), slice(side, width // 3)
    corners = [(y, x) for y in (slice(side), slice(-side, None)) for x in (slice(side), slice(-side, None))]
    for place in [middle, *corners]:
        for across in (True, False):
            one, other = (ink[place], pale[place]) if across else (ink[place].T, pale[place].T)
            changes = (one[:, :-1] & other[:, 1:]) | (other[:, :-1] & one[:, 1:])
            run = np.ones((changes.shape[0], changes.shape[1] - 9), bool)
            for step in range(10):
                run &= changes[:, step : changes.shape[1] - 9 + step]
            assert run.any(axis=1).sum() > 5, (place, across)


@sizes
def test_each_grey_is_there(size: tuple[int, int]) -> None:
    flat = page_of(size, LIGHT).reshape(-1, 3)
    neutral = flat[(np.ptp(flat.astype(int), axis=1) == 0)]
    levels, counts = np.unique(neutral[:, 0], return_counts=True)
    large = [grey(int(level) * 0x10101) for level in levels[counts > 0.0006 * len(flat)]]
    for wanted in GREYS:
        assert min(abs(level - wanted) for level in large) < 0.7, wanted


@sizes
@themes
def test_an_outside_reader_reads_the_clock(size: tuple[int, int], theme: Theme) -> None:
    pixels = page_of(size, theme)
    right = is_colour(pixels, theme.ink)
    width, height = size
    margin = round(0.17 * unit_of(*size))
    inside = right[round(0.14 * height) : round(0.8 * height), width // 2 : width - margin + 4]
    columns = np.flatnonzero(inside.any(axis=0))
    rows = np.flatnonzero(inside[:, columns].any(axis=1))
    assert columns.size
    assert rows.size
    centre_x = width // 2 + (columns[0] + columns[-1]) / 2
    centre_y = round(0.14 * height) + (rows[0] + rows[-1]) / 2
    radius = (columns[-1] - columns[0]) / 2
    assert rows[-1] - rows[0] == pytest.approx(2 * radius, rel=0.02)  # round
    half = round(radius * 1.06)
    cut = pixels[
        round(centre_y) - half : round(centre_y) + half, round(centre_x) - half : round(centre_x) + half
    ]
    assert read_dial(np.ascontiguousarray(cut[..., ::-1])).time == (TESTED.hour, TESTED.minute)


def test_eight_picture_heights_away_the_words_have_the_preferred_size() -> None:
    """Capitals of 20 minutes of arc or more: ISO 9241-3, as quoted by its readers."""
    share = CAPTION_SIZE * cap_height(True)
    assert math.degrees(2 * math.atan(share / 2 / 8)) * 60 >= 20

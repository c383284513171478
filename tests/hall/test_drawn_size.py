"""What the hall reckons with is what the screen draws."""

from __future__ import annotations

import numpy as np
import pytest

from caller.clock import ClockTime
from caller.deciding import Side
from caller.hall import DIAL_RADIUS_PER_IMAGE_HEIGHT, SMALLER_DIALS
from caller.hall.sightlines import (
    CAPITAL_PER_IMAGE_HEIGHT,
    NUMERAL_HEIGHT_PER_RADIUS,
    SMALL_LETTER_PER_IMAGE_HEIGHT,
)
from caller.runsheet import Board, Dial, Lane
from caller.screen.caption import draw_caption
from caller.screen.dial import NUMERAL_HEIGHT
from caller.screen.layout import places
from caller.screen.skia_door import skia
from caller.screen.theme import LIGHT

WIDE = (1920, 1080)


def drawn(*sides: Side, dials: int = 1) -> float:
    """Return a dial's radius as a share of the picture's height, on a 16:9 picture."""
    lanes = (Lane(side=side, numeral="4:40", words="", move="squats", move_name="") for side in sides)
    board = Board(layout="clock", dials=(Dial(time=ClockTime(4, 40)),) * dials, lanes=tuple(lanes))
    return places(board, *WIDE).middle.dials[0].radius / WIDE[1]


def test_the_dial_is_as_large_as_the_sight_lines_say() -> None:
    assert drawn("left", "right") == pytest.approx(DIAL_RADIUS_PER_IMAGE_HEIGHT, abs=0.0005)
    assert drawn() == pytest.approx(DIAL_RADIUS_PER_IMAGE_HEIGHT, abs=0.0005)


def test_the_smaller_dials_are_as_small_as_the_advice_says() -> None:
    found = {"three choices": drawn("left", "middle", "right"), "two dials": drawn("left", "right", dials=2)}
    assert found == pytest.approx(dict(SMALLER_DIALS), abs=0.0005)


def test_numerals_are_as_tall_as_the_sight_lines_say() -> None:
    assert NUMERAL_HEIGHT == NUMERAL_HEIGHT_PER_RADIUS


@pytest.mark.parametrize(
    ("letter", "share"), [("H", CAPITAL_PER_IMAGE_HEIGHT), ("x", SMALL_LETTER_PER_IMAGE_HEIGHT)]
)
def test_captions_are_as_large_as_the_sight_lines_say(letter: str, share: float) -> None:
    room = places(Board(layout="title"), 3840, 2160).caption
    surface = skia.Surface(3840, 2160)
    draw_caption(surface.getCanvas(), letter, None, room, unit=2160, theme=LIGHT)
    rows = np.flatnonzero((surface.toarray()[..., 3] > 127).any(axis=1))
    assert (rows[-1] - rows[0] + 1) / 2160 == pytest.approx(share, abs=0.001)

"""The dial's proportions, measured on its pixels."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.clock import ClockTime
from caller.clock.said_and_shown import Numerals
from caller.screen.dial import (
    HOUR_HAND,
    MARK_INNER,
    MINUTE_HAND,
    NUMERAL_HEIGHT,
    draw_dial,
    draw_face,
    draw_hour_numeral,
    hand_path,
    on_dial,
)
from caller.screen.skia_door import skia
from caller.screen.theme import DARK, LIGHT

SIZE, RADIUS, CENTRE = 800, 400.0, (400.0, 400.0)


def ink_of_numeral(hour: int, numerals: Numerals = "arabic") -> NDArray[np.bool_]:
    surface = skia.Surface(SIZE, SIZE)
    draw_hour_numeral(
        surface.getCanvas(), hour, centre=CENTRE, radius=RADIUS, colour=0xFF000000, numerals=numerals
    )
    return np.asarray(surface.toarray()[..., 3] > 127)


def test_numerals_are_as_tall_as_the_hall_counts_on() -> None:
    # hall rule: numerals of at least 0.16 of the radius; 1 has neither bowl nor overshoot.
    assert NUMERAL_HEIGHT >= 0.16
    for hour in range(1, 13):
        rows = np.flatnonzero(ink_of_numeral(hour).any(axis=1))
        assert (rows[-1] - rows[0] + 1) / RADIUS >= 0.16


@pytest.mark.parametrize("numerals", ["arabic", "roman"])
def test_no_numeral_touches_a_mark_or_another_numeral(numerals: Numerals) -> None:
    every = np.zeros((SIZE, SIZE), int)
    y, x = np.mgrid[:SIZE, :SIZE] + 0.5
    away = np.hypot(x - 400, y - 400) / RADIUS
    for hour in range(1, 13):
        ink = ink_of_numeral(hour, numerals)
        assert away[ink].max() < 0.85, hour
        every += ink
    assert every.max() == 1


def test_both_hands_have_one_colour_and_differ_in_shape() -> None:
    assert HOUR_HAND.length < 0.7 * MINUTE_HAND.length
    assert HOUR_HAND.width > 2 * MINUTE_HAND.width
    assert MINUTE_HAND.length >= MARK_INNER  # it reaches the marks
    surface = skia.Surface(SIZE, SIZE)
    draw_dial(surface.getCanvas(), ClockTime(3, 0), centre=CENTRE, radius=RADIUS, theme=LIGHT)
    for angle, share in ((90.0, 0.3), (0.0, 0.45)):
        x, y = on_dial(CENTRE, RADIUS, angle, share)
        blue, green, red, _ = surface.toarray()[int(y), int(x)]
        assert (int(red) << 16 | int(green) << 8 | int(blue)) == LIGHT.ink & 0xFFFFFF


def test_a_hand_points_where_it_is_told() -> None:
    for angle in (0.0, 90.0, 137.5, 271.0):
        points = [
            (point.x() - 400.0, 400.0 - point.y())
            for point in hand_path(CENTRE, RADIUS, angle, MINUTE_HAND).getPoints(9)
        ]
        east, north = max(points, key=lambda point: math.hypot(*point))
        assert math.hypot(east, north) / RADIUS == pytest.approx(MINUTE_HAND.length, abs=1e-4)
        assert math.degrees(math.atan2(east, north)) % 360 == pytest.approx(angle, abs=0.01)


def test_there_are_sixty_marks_and_twelve_are_heavier() -> None:
    surface = skia.Surface(SIZE, SIZE)
    draw_face(surface.getCanvas(), centre=CENTRE, radius=RADIUS, theme=LIGHT)
    pixels = surface.toarray()[..., 1]
    ring = [on_dial(CENTRE, RADIUS, a / 20, 0.92) for a in range(7200)]
    dark = np.array([pixels[int(y), int(x)] < 128 for x, y in ring])
    starts = np.flatnonzero(dark & ~np.roll(dark, 1))
    widths = [int(np.argmin(np.roll(dark, -start))) for start in starts]
    assert len(starts) == 60
    assert sum(width > 1.4 * np.median(widths) for width in widths) == 12


def test_some_numerals_may_be_left_out_and_the_others_made_larger() -> None:
    few, all_of_them = skia.Surface(SIZE, SIZE), skia.Surface(SIZE, SIZE)
    for surface, shown in ((few, frozenset({12})), (all_of_them, frozenset(range(1, 13)))):
        draw_face(
            surface.getCanvas(),
            centre=CENTRE,
            radius=RADIUS,
            theme=DARK,
            shown=shown,
            numeral_height=0.2,
            marks=False,
        )
    assert (few.toarray()[..., 1] > 128).sum() < 0.7 * (all_of_them.toarray()[..., 1] > 128).sum()


def test_a_dial_without_a_time_has_no_hands() -> None:
    surface = skia.Surface(SIZE, SIZE)
    draw_dial(surface.getCanvas(), None, centre=CENTRE, radius=RADIUS, theme=LIGHT)
    assert (surface.toarray()[300:500, 300:500, 1] > 250).all()

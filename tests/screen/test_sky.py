"""The part of the day as a picture."""

from __future__ import annotations

import numpy as np
import pytest

from caller.clock import DayTime
from caller.screen import Rect
from caller.screen.beside_dial import DAY, NIGHT, draw_sky, is_day, way_across
from caller.screen.skia_door import skia
from caller.screen.theme import LIGHT


@pytest.mark.parametrize(
    ("time", "day", "way"),
    [
        (DayTime(6, 0), True, 0.0),
        (DayTime(12, 0), True, 0.5),
        (DayTime(16, 40), True, 640 / 720),
        (DayTime(18, 0), False, 0.0),
        (DayTime(0, 0), False, 0.5),
        (DayTime(4, 40), False, 640 / 720),
    ],
)
def test_the_sun_crosses_by_day_and_the_moon_by_night(time: DayTime, day: bool, way: float) -> None:
    assert is_day(time) is day
    assert way_across(time) == pytest.approx(way)


@pytest.mark.parametrize("hour", range(24))
def test_the_sky_stays_in_its_panel_and_has_the_colour_of_the_hour(hour: int) -> None:
    surface = skia.Surface(500, 200)
    draw_sky(surface.getCanvas(), DayTime(hour, 30), Rect(x=50, y=50, width=400, height=100), theme=LIGHT)
    pixels = np.asarray(surface.toarray())
    inked = pixels[..., 3] > 0
    inked[48:152, 48:452] = False
    assert not inked.any()
    blue, green, red, _ = (int(v) for v in pixels[60, 250 if hour % 12 > 8 or hour % 12 < 3 else 120])
    assert (0xFF000000 | red << 16 | green << 8 | blue) == (DAY if 6 <= hour < 18 else NIGHT)

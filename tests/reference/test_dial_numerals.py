"""Every numeral can be read at every minute: an outside look, sharp and as a weak eye sees it.

The eye of the last row is a blur in linear light. School screening passes 20/40, which is two minutes of arc;
the factor 0.7 makes a letter reader fail where the eye chart does (own calibration on Sloan letters; the
Gaussian is that of Akutsu et al. 2000). The picture is 1.8 m high, seen from 15 m, and the dial's radius
a third of it.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, gaussian_filter

from caller.clock import ALL_TIMES, ClockTime
from caller.clock.said_and_shown import Numerals
from caller.screen.dial import draw_dial
from caller.screen.skia_door import skia
from caller.screen.theme import DARK, LIGHT, Theme
from tests.sampling import sampled

Grey = NDArray[np.float64]

SIZE, RADIUS = 340, 160.0
PICTURE_M, DISTANCE_M, DIAL_SHARE = 1.8, 15.0, 1 / 3
ARCMIN_PX = RADIUS / DIAL_SHARE / (math.degrees(2 * math.atan(PICTURE_M / 2 / DISTANCE_M)) * 60)
BLUR_PX = 0.7 * 2.0 * ARCMIN_PX


def drawn(time: ClockTime | None, theme: Theme, numerals: Numerals = "arabic") -> Grey:
    """Ink is 1 and face 0, in light and dark alike."""
    pixels = np.zeros((SIZE, SIZE, 4), np.uint8)
    canvas = skia.Surface(pixels).getCanvas()
    canvas.clear(theme.background)
    draw_dial(canvas, time, centre=(SIZE / 2, SIZE / 2), radius=RADIUS, theme=theme, numerals=numerals)
    level = (pixels[..., 1] / 255.0) ** 2.2
    face = float(level[SIZE // 2 + 10, SIZE // 2]) if time is None else level_of(theme)
    return np.asarray(
        np.abs(level - face) / abs((theme.ink >> 8 & 255) / 255.0 - (theme.face >> 8 & 255) / 255.0)
    )


def level_of(theme: Theme) -> float:
    return float(((theme.face >> 8 & 255) / 255.0) ** 2.2)


def numerals_of(face: Grey) -> dict[int, NDArray[np.bool_]]:
    """Find the ink of each numeral on a dial without hands, by where it stands."""
    y, x = np.mgrid[:SIZE, :SIZE] + 0.5 - SIZE / 2
    away, turn = np.hypot(x, y) / RADIUS, np.degrees(np.arctan2(x, -y)) % 360
    inked = (face > 0.4) & (away > 0.4) & (away < 0.86)
    nearest = np.round(turn / 30).astype(int) % 12
    return {hour: inked & (nearest == hour % 12) for hour in range(1, 13)}


@pytest.mark.parametrize("on_dial", ["arabic", "roman"])
@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
def test_the_ink_of_every_numeral_stands_free_at_all_720_times(theme: Theme, on_dial: Numerals) -> None:
    """A pixel of ink counts as seen while the face beside it is face: a hand has the numeral's own colour."""
    numerals = numerals_of(drawn(None, theme, on_dial))
    near = round(0.02 * RADIUS)
    rims = {
        hour: binary_dilation(ink, iterations=near) & ~binary_dilation(ink) for hour, ink in numerals.items()
    }
    assert all(ink.sum() > 100 for ink in numerals.values())
    for time in sampled(ALL_TIMES, 7) if theme is LIGHT else ALL_TIMES[::7]:
        picture = drawn(time, theme, on_dial)
        for hour, rim in rims.items():
            assert picture[numerals[hour]].min() > 0.35, (time, hour)
            blocked = binary_dilation(rim & (picture > 0.5), iterations=near + 2)
            seen = 1 - (numerals[hour] & blocked).sum() / numerals[hour].sum()
            assert seen >= 0.8, (time, hour, seen)


def test_a_weak_eye_in_the_last_row_takes_no_numeral_for_another_at_any_of_720_times() -> None:
    face = gaussian_filter(drawn(None, LIGHT), BLUR_PX)
    numerals = numerals_of(drawn(None, LIGHT))
    middles = {}
    for hour, ink in numerals.items():
        rows, columns = np.nonzero(ink)
        middles[hour] = round((rows.min() + rows.max()) / 2), round((columns.min() + columns.max()) / 2)
    half_y, half_x = round(0.1 * RADIUS), round(0.13 * RADIUS)

    def patch(picture: Grey, hour: int) -> Grey:
        y, x = middles[hour]
        cut = picture[y - half_y : y + half_y + 1, x - half_x : x + half_x + 1].ravel()
        return np.asarray((cut - cut.mean()) / cut.std())

    templates = np.stack([patch(face, hour) for hour in range(1, 13)])
    wrong = []
    for time in sampled(ALL_TIMES, 7):
        picture = gaussian_filter(drawn(time, LIGHT), BLUR_PX)
        for hour in range(1, 13):
            likeness = templates @ patch(picture, hour) / templates.shape[1]
            if int(np.argmax(likeness)) != hour - 1 or likeness[hour - 1] < 0.5:
                wrong.append((time, hour, round(float(likeness[hour - 1]), 2)))
    assert wrong == []

"""An independent reader reads the rendered dial: pixels to hand angles to time."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from caller.clock import ALL_TIMES, ClockTime
from caller.screen.dial import HOUR_HAND, MINUTE_HAND, draw_dial, draw_face, hand_path
from caller.screen.skia_door import skia
from caller.screen.theme import DARK, LIGHT, Theme
from tests.reference.dial_reader import Reading, read_dial
from tests.sampling import sampled

# The angles are the textbook ones, written out here: 6 degrees a minute, 30 an hour and half a degree more
# for every minute past it.


def hour_error(reading: Reading, time: ClockTime) -> float:
    return abs((reading.hour_deg - (30 * time.hour + time.minute / 2) + 180) % 360 - 180)


def minute_error(reading: Reading, time: ClockTime) -> float:
    return abs((reading.minute_deg - 6 * time.minute + 180) % 360 - 180)


def read(time: ClockTime, *, size: int, theme: Theme) -> Reading:
    pixels = np.zeros((size, size, 4), np.uint8)
    canvas = skia.Surface(pixels).getCanvas()
    canvas.clear(theme.background)
    draw_dial(canvas, time, centre=(size / 2, size / 2), radius=0.47 * size, theme=theme)
    return read_dial(pixels)


def test_all_720_minutes_are_read_right_and_the_hands_stand_where_they_should() -> None:
    readings = [(time, read(time, size=320, theme=LIGHT)) for time in sampled(ALL_TIMES, 7)]
    assert [time for time, got in readings if got.time != (time.hour, time.minute)] == []
    # Half a minute mark is 3 degrees; the hour hand moves 0.5 degrees a minute.
    assert max(minute_error(got, time) for time, got in readings) < 0.2
    assert max(hour_error(got, time) for time, got in readings) < 1.0


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
@pytest.mark.parametrize("size", [200, 260, 520, 900])
def test_times_are_read_right_at_other_sizes_and_in_both_themes(size: int, theme: Theme) -> None:
    # Every 17th minute meets every minute of the hour, and all twelve hours.
    times = ALL_TIMES[::17]
    readings = [(time, read(time, size=size, theme=theme)) for time in times]
    assert [time for time, got in readings if got.time != (time.hour, time.minute)] == []


def test_the_last_row_reads_all_720_times_with_a_weak_eye() -> None:
    """The dial of the stage, 0.67 of a picture 1.8 m high, from 15 m with a 20/40 eye.

    The eye is a Gaussian in linear light of 0.7 of its smallest angle (own calibration on Sloan letters).
    Every hour and every minute is asked for, by day not each with each.
    """
    size = 340
    rows = 0.47 * size / 0.3302  # of a whole picture whose dial is this large
    sigma = 0.7 * 2.0 * rows / (np.degrees(2 * np.arctan(1.8 / 2 / 15.0)) * 60)
    wrong, asked = [], sampled(ALL_TIMES, 7)
    for time in asked:
        pixels = np.zeros((size, size, 4), np.uint8)
        canvas = skia.Surface(pixels).getCanvas()
        canvas.clear(LIGHT.background)
        draw_dial(canvas, time, centre=(size / 2, size / 2), radius=0.47 * size, theme=LIGHT)
        linear = (pixels[..., 1] / 255.0) ** 2.2
        seen = gaussian_filter(linear, sigma) ** (1 / 2.2) * 255
        # Hands that lie over each other run together: which hour it is must still be plain.
        got = read_dial(np.repeat(seen[..., None], 3, axis=2).astype(np.uint8), tolerance_deg=14.0)
        if got.time != (time.hour, time.minute):
            wrong.append((time, got))
    assert len(wrong) <= 0.01 * len(asked), wrong


def test_the_reader_refuses_hands_that_no_time_has() -> None:
    # An hour hand left on the four while the minute hand stands at twenty to: what a toy clock shows.
    pixels = np.zeros((320, 320, 4), np.uint8)
    canvas = skia.Surface(pixels).getCanvas()
    canvas.clear(LIGHT.background)
    draw_face(canvas, centre=(160, 160), radius=150, theme=LIGHT)
    ink = skia.Paint(AntiAlias=True, Color=LIGHT.ink)
    canvas.drawPath(hand_path((160, 160), 150, 120.0, HOUR_HAND), ink)
    canvas.drawPath(hand_path((160, 160), 150, 240.0, MINUTE_HAND), ink)
    reading = read_dial(pixels)
    assert reading.time is None
    assert reading.hour_deg == pytest.approx(120.0, abs=1.0)
    assert reading.minute_deg == pytest.approx(240.0, abs=0.5)


def bar(
    across: NDArray[np.float64], along: NDArray[np.float64], length: float, half: float
) -> NDArray[np.bool_]:
    return np.asarray((np.abs(across) < half) & (along > 0) & (along < length))


@pytest.mark.parametrize(("hour", "minute"), [(1, 25), (6, 0), (9, 47), (12, 12)])
def test_the_reader_also_reads_a_dial_that_is_not_ours(hour: int, minute: int) -> None:
    # Other proportions, no numerals, no smoothing: the reader has not merely learnt our dial.
    y, x = np.mgrid[-1.1:1.1:400j, -1.1:1.1:400j]
    away = np.hypot(x, y)
    ink = (away > 0.94) & (away < 1.0)
    for angle, length, half in ((30 * hour + minute / 2, 0.5, 0.045), (6 * minute, 0.9, 0.025)):
        sin, cos = np.sin(np.radians(angle)), np.cos(np.radians(angle))
        ink |= bar(x * cos + y * sin, x * sin - y * cos, length, half)
    pixels = np.where(ink, 20, 235)[..., None].astype(np.uint8).repeat(3, axis=2)
    assert read_dial(pixels).time == (hour, minute)

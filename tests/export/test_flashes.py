"""Nothing flashes: general and red flashes after WCAG 2.2, success criterion 2.3.1 (definitions from memory).

A general flash is a pair of opposing changes in relative luminance of a tenth or more, the darker below 0.8;
a red one goes to or from a saturated red. More than three of either in any second is too much, in any part
of the picture of about a hundredth of its area: near children see a picture that fills more of their eye.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.export.programme import Programme
from caller.lesson.library import read_lesson, ready_lessons
from caller.runsheet import RunSheet
from caller.runsheet.sequence import make_run_sheet
from caller.screen.raster import Raster
from caller.screen.theme import CONTRAST, DARK, DIAL, LIGHT, Theme

# The criterion is about areas, and a block's mean luminance is that of its hundred pixels: each of them is
# drawn with soft edges, so that it holds what a larger picture shows there, finer than any area that counts.
WIDTH, HEIGHT, RATE_HZ = 160, 90, 12
EVERY_FRAME_HZ = 30  # as exported
BLOCKS = (9, 16)  # of 10 by 10 pixels: a 144th of the picture each
LEVEL = np.arange(256) / 255.0
LINEAR = np.where(LEVEL <= 0.04045, LEVEL / 12.92, ((LEVEL + 0.055) / 1.055) ** 2.4)


def pairs_in_a_second(levels: NDArray[np.float64], rate_hz: int = RATE_HZ) -> int:
    """Return the most pairs of opposing changes that one second of one block's levels holds."""
    swings: list[int] = []  # the moments at which a change of a tenth was completed, in turn up and down
    low = high = levels[0]
    way = 0
    for moment, level in enumerate(levels):
        low, high = min(low, level), max(high, level)
        if way <= 0 and level - low >= 0.1 and low < 0.8:
            swings.append(moment)
            way, high, low = 1, level, level
        elif way >= 0 and high - level >= 0.1 and level < 0.8:
            swings.append(moment)
            way, high, low = -1, level, level
        elif way > 0:
            low = high = max(high, level)
        elif way < 0:
            low = high = min(low, level)
    most = max((sum(start <= one < start + rate_hz for one in swings) for start in swings), default=0)
    return most // 2


def test_the_counter_counts() -> None:
    slow, quick = np.tile([0.1, 0.1, 0.5, 0.5], 12), np.tile([0.1, 0.5], 24)
    assert pairs_in_a_second(slow) == 3
    assert pairs_in_a_second(quick) == 6
    assert pairs_in_a_second(np.linspace(0, 1, 48)) == 0
    assert pairs_in_a_second(np.tile([0.85, 1.0], 24)) == 0  # both bright


@pytest.mark.parametrize("theme", [LIGHT, DARK, CONTRAST], ids=lambda theme: theme.name)
def test_no_part_of_a_lessons_picture_flashes(programme: Programme, theme: Theme) -> None:
    check(programme, theme)


@pytest.mark.nightly
@pytest.mark.timeout(1800)
@pytest.mark.parametrize(
    ("name", "theme"),
    [("demo", LIGHT), ("harbour", DARK), ("quarters", CONTRAST), ("hours", DIAL)],
    ids=lambda value: getattr(value, "name", value),
)
def test_no_part_of_a_whole_lesson_flashes(
    name: str, theme: Theme, programme_of: Callable[[RunSheet], Programme]
) -> None:
    """In two by two blocks, a 36th of the picture: the criterion's own area, a quarter of 341 by 256 pixels
    of 1024 by 768. A leg that flicks through one block alone is a movement and no flash."""
    check(
        programme_of(make_run_sheet(read_lesson(ready_lessons()[name]))),
        theme,
        across=2,
        rate_hz=EVERY_FRAME_HZ,
    )


def check(programme: Programme, theme: Theme, *, across: int = 1, rate_hz: int = RATE_HZ) -> None:
    """Draw so many pictures of every second, and count in every square of so many blocks across.

    As on the window and in a video, a picture is the last one with what has changed drawn over it.
    """
    raster = Raster(WIDTH, HEIGHT)
    levels: list[NDArray[np.float64]] = []
    reds: list[NDArray[np.float64]] = []
    for sample in range(0, programme.length, 48_000 // rate_hz):
        if not raster.draw_changes(programme.scene(sample), theme):
            levels.append(levels[-1])
            reds.append(reds[-1])
            continue
        pixels = raster.pixels[..., :3]
        luminance = LINEAR[pixels] @ np.array([0.0722, 0.7152, 0.2126])
        red = pixels[..., 2].astype(int)
        saturated = (red >= 0.8 * pixels.sum(axis=-1)) & (red > 0.2 * 255)
        for kept, picture in ((levels, luminance), (reds, saturated.astype(float))):
            blocks = picture.reshape(BLOCKS[0], HEIGHT // BLOCKS[0], BLOCKS[1], WIDTH // BLOCKS[1])
            kept.append(blocks.mean(axis=(1, 3)))
    for kept in (levels, reds):
        squares = np.lib.stride_tricks.sliding_window_view(np.array(kept), (across, across), axis=(1, 2))
        series = squares.mean(axis=(-1, -2)).reshape(len(kept), -1)
        moving = np.flatnonzero(np.ptp(series, axis=0) >= 0.1)
        assert max((pairs_in_a_second(series[:, block], rate_hz) for block in moving), default=0) <= 3

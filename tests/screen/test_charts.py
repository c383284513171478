from __future__ import annotations

import numpy as np
import pytest

from caller.record import LessonKept, Tally
from caller.record.knowledge import DAY_S, know
from caller.screen.charts import _SHADES, colours_of_lines, draw_record
from caller.screen.layout import unit_of
from caller.screen.raster import Raster
from caller.screen.theme import DARK, LIGHT, Theme, blend
from tests.record.conftest import a_round
from tests.screen.test_theme import SHAPE, contrast, grey

SIZE = (1600, 1000)


def lessons(count: int, tally: Tally | None) -> list[LessonKept]:
    return [
        LessonKept(
            number=day, class_name="Terns", title="", began_s=day * DAY_S, ended_s=day * DAY_S + 900,
            ending="ended", planned_s=None, stand_in=False,
            rounds=(
                a_round(1, "9:00", "7:00", Tally(judgement="most") if tally else None, day * DAY_S + 60),
                a_round(2, "7:45", "8:45", tally, day * DAY_S + 120),
            ),
        )
        for day in range(1, 1 + count)
    ]  # fmt: skip


def pixels(held: list[LessonKept], theme: Theme = LIGHT) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    raster = Raster(*SIZE)
    draw_record(
        raster.canvas, "Terns", held, know(held, 9 * DAY_S), width=SIZE[0], height=SIZE[1], theme=theme
    )
    return raster.pixels


def share_of(picture: np.ndarray[tuple[int, ...], np.dtype[np.uint8]], colour: int) -> float:
    wanted = np.array([colour & 0xFF, colour >> 8 & 0xFF, colour >> 16 & 0xFF], dtype=np.uint8)
    return float((picture[..., :3] == wanted).all(axis=-1).mean())


@pytest.mark.parametrize("theme", [LIGHT, DARK])
def test_the_bar_of_a_tallied_step_is_as_long_as_the_share_that_knows_it(theme: Theme) -> None:
    held = lessons(3, Tally(judgement="few"))
    known = know(held, 9 * DAY_S)
    picture = pixels(held, theme)
    colour = theme.strip
    filled = np.all(
        picture[:, : SIZE[0] // 2, :3] == [colour & 0xFF, colour >> 8 & 0xFF, colour >> 16 & 0xFF], axis=-1
    )
    # The longest run of the bar's colour along one line of pixels is the best known step.
    longest = int(filled.sum(axis=1).max())
    unit = unit_of(*SIZE)
    scale = 0.58 * (SIZE[0] - 3 * 0.06 * unit) / 2
    assert longest / scale == pytest.approx(max(known.known.values()), abs=0.03)


def test_a_class_that_was_never_tallied_has_outlines_only() -> None:
    assert share_of(pixels(lessons(2, None)), LIGHT.strip) == 0.0


def test_one_lesson_and_many_can_be_drawn() -> None:
    one, many = pixels(lessons(1, Tally(missed=3))), pixels(lessons(8, Tally(missed=3)))
    assert (one != many).any()


APART = 10.0  # of L*: own judgement; CIE gives one as just seen, side by side


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
def test_the_lines_of_a_chart_differ_in_grey_and_stand_out(theme: Theme) -> None:
    colours = colours_of_lines(theme)
    greys = sorted(grey(colour) for colour in colours)
    assert np.diff(greys).min() >= APART
    assert min(contrast(colour, theme.background) for colour in colours) >= SHAPE


def test_the_efforts_of_a_chart_differ_in_grey() -> None:
    shades = [LIGHT.background, *(blend(LIGHT.background, LIGHT.strip, share) for share in _SHADES.values())]
    assert np.diff([grey(shade) for shade in shades]).max() <= -APART

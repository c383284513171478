"""The map of a hall: figures can be read, and the speaker stands where it stands."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.hall import Hall
from caller.hall.advice import report
from caller.hall.hallfile import preset, preset_names
from caller.screen import hallmap
from caller.screen.hallmap import _clearness, _loudness, draw_hall
from caller.screen.skia_door import skia
from caller.screen.theme import LIGHT
from tests.screen.test_theme import TEXT, contrast, grey

SIZE = (1600, 900)


def drawn(hall: Hall) -> NDArray[np.uint8]:
    surface = skia.Surface(*SIZE)
    draw_hall(surface.getCanvas(), hall, report(hall), width=SIZE[0], height=SIZE[1])
    return np.asarray(surface.makeImageSnapshot().toarray(colorType=skia.kRGBA_8888_ColorType))[:, :, :3]


def rgb(colour: int) -> tuple[float, float, float]:
    red, green, blue = ((colour >> shift & 0xFF) / 255 for shift in (16, 8, 0))
    return red, green, blue


def test_figures_stand_7_to_1_on_every_colour() -> None:
    """WCAG 2.2, 1.4.6, by the formula that the tests of the theme hold against published ratios."""
    for kind in (_clearness(LIGHT), _loudness(np.linspace(60.0, 90.0, 30), LIGHT)):
        for shade in kind.shades:
            assert contrast(LIGHT.ink, shade.colour) >= TEXT, shade


def test_the_shades_of_a_map_follow_each_other_in_grey() -> None:
    """Clearer is paler and louder darker, each by at least five of L* (own judgement; cells hold figures)."""
    clear, loud = _clearness(LIGHT).shades, _loudness(np.linspace(66.0, 83.0, 30), LIGHT).shades
    assert len(loud) == 6
    assert np.diff([grey(shade.colour) for shade in clear]).min() >= 5.0
    assert np.diff([grey(shade.colour) for shade in loud]).max() <= -5.0


@pytest.mark.parametrize("name", preset_names())
def test_the_shades_reach_from_the_least_value_to_the_greatest(name: str) -> None:
    told = report(preset(name))
    levels = np.array([told.level_back_dba, told.level_front_dba])
    shades = _loudness(levels, LIGHT).shades
    assert shades[0].least <= levels.min()
    assert levels.max() <= shades[-1].least + 3.0


def test_the_speaker_is_drawn_where_it_stands() -> None:
    hall = preset("gym")
    near, far = (
        dataclasses.replace(hall, speaker=dataclasses.replace(hall.speaker, at_m=(x, 6.0, 1.8)))
        for x in (2.0, 20.0)
    )
    wanted = np.array([channel * 255 for channel in rgb(LIGHT.light_edge)])
    places = []
    for each in (near, far):
        picture = drawn(each)
        xs = np.nonzero((np.abs(picture - wanted) < 2).all(axis=2))[1]
        left = xs < SIZE[0] / 2  # the first of the two maps; the dashes of the rows are the same in both
        places.append(float(np.mean(xs[left])))
    assert places[1] - places[0] > 50


@pytest.mark.parametrize("name", preset_names())
def test_no_line_runs_through_a_figure(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a figure stands, a map without its figures is of one colour, the cell's."""
    places: list[tuple[float, float, float]] = []

    def noted(canvas: skia.Canvas, words: str, **how: Any) -> None:
        places.append((how["x"], how["y"], how["size"]))

    monkeypatch.setattr(hallmap, "draw_numeral", noted)
    bare = drawn(preset(name))
    assert len(places) > 50
    for x, y, size in places:
        # Lexend's figures are 0.7 of its size high, and two of them with a point no wider than 1.6.
        wide, tall = 0.8 * size, 0.35 * size
        patch = bare[round(y - tall) : round(y + tall), round(x - wide) : round(x + wide)]
        # Beside the figure the next cell may begin, whose colour is another; a line is far darker.
        assert contrast_least(patch) >= 4.5


def contrast_least(patch: NDArray[np.uint8]) -> float:
    """Return the contrast of the theme's ink with the darkest pixel of a patch."""
    darkest = min((tuple(row) for row in patch.reshape(-1, 3).tolist()), key=sum)
    red, green, blue = darkest
    return contrast(LIGHT.ink, 0xFF000000 | red << 16 | green << 8 | blue)

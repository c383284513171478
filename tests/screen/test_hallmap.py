"""The map of a hall: figures can be read, and the speaker stands where it stands."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.hall.advice import report
from caller.hall.hallfile import preset, preset_names
from caller.hall.model import Hall
from caller.screen.hallmap import _clearness, _loudness, draw_hall
from caller.screen.skia_door import skia
from caller.screen.theme import LIGHT
from tests.screen.test_theme import TEXT, contrast

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

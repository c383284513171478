from __future__ import annotations

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from caller.export.web.outlines import number, shorten
from caller.screen.skia_door import skia

SIZE = 200


def drawn(markup: str) -> NDArray[np.int16]:
    """Draw path data with the library's own reader of SVG, which knows the whole grammar of paths."""
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{SIZE}" height="{SIZE}"><path d="{markup}"/></svg>'
    )
    surface = skia.Surface(SIZE, SIZE)
    surface.getCanvas().clear(0xFFFFFFFF)
    skia.SVGDOM.MakeFromStream(skia.MemoryStream.MakeCopy(text.encode())).render(surface.getCanvas())
    return np.asarray(surface.toarray()[..., 0], np.int16)


def written(path: skia.Path) -> str:
    """Return path data as the library writes it."""
    stream = skia.DynamicMemoryWStream()
    canvas = skia.SVGCanvas.Make(skia.Rect.MakeWH(SIZE, SIZE), stream)
    canvas.drawPath(path, skia.Paint())
    del canvas
    found = re.search(r' d="([^"]*)"', bytes(stream.detachAsData()).decode())
    assert found is not None
    return found[1]


def furthest_apart(markup: str) -> int:
    before = drawn(markup)
    assert before.min() == 0, "nothing was drawn"
    return int(np.abs(before - drawn(shorten(markup))).max())


def capsule(x: float, y: float, radius: float, length: float, turn_deg: float) -> skia.Path:
    path = skia.Path()
    path.addRoundRect(skia.Rect.MakeXYWH(-radius, -radius, 2 * radius + length, 2 * radius), radius, radius)
    matrix = skia.Matrix()
    matrix.setRotate(turn_deg)
    matrix.postTranslate(x, y)
    path.transform(matrix)
    return path


def ring(x: float, y: float, radius: float, sides: int) -> skia.Path:
    turns = [math.tau * n / sides for n in range(sides)]
    points = [skia.Point(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns]
    return skia.Path.Polygon(points, True)


places = st.floats(60, 140)


@settings(max_examples=60, deadline=None)
@given(x=places, y=places, radius=st.floats(5, 30), length=st.floats(0, 30), turn=st.floats(0, 360))
def test_a_round_ended_limb_looks_the_same_and_is_told_in_arcs(
    x: float, y: float, radius: float, length: float, turn: float
) -> None:
    markup = written(capsule(x, y, radius, length, turn))
    # Ends kept to a tenth move an edge by two tenths at most; where that turns a corner of a pixel, more.
    assert furthest_apart(markup) < 140
    assert "a" in shorten(markup)
    assert "q" not in shorten(markup)


@settings(max_examples=60, deadline=None)
@given(x=places, y=places, radius=st.floats(8, 50))
def test_a_ring_of_short_sides_is_given_back_its_round(x: float, y: float, radius: float) -> None:
    markup = written(ring(x, y, radius, 24))
    short = shorten(markup)
    assert "l" not in short
    assert len(short) < len(markup) / 3
    # Between two corners a circle of 50 pixels lies 0.43 pixels outside its ring of 24 sides.
    assert furthest_apart(markup) < 200


@given(points=st.lists(st.tuples(st.integers(0, SIZE), st.integers(0, SIZE)), min_size=3, max_size=12))
def test_straight_sides_keep_their_corners_exactly(points: list[tuple[int, int]]) -> None:
    markup = "M" + "L".join(f"{x}.0 {y}.0" for x, y in points) + "Z"
    short = shorten(markup)
    if "a" in short:  # a few whole-number corners that happen to lie on one circle
        return
    at = [0.0, 0.0]
    found = []
    for command, text in re.findall(r"([Mlz])([^Mlz]*)", short):
        values = [float(value) for value in re.findall(r"-?[\d.]+", text)]
        if command != "z":
            at = [values[0], values[1]] if command == "M" else [at[0] + values[0], at[1] + values[1]]
            found.append((round(at[0]), round(at[1])))
    assert found == points


def test_a_curve_that_is_not_round_stays_a_curve() -> None:
    markup = "M20 100Q60 10 100 100Q140 190 180 100Q100 150 20 100Z"
    assert "q" in shorten(markup)
    assert furthest_apart(markup) < 64


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (-0.04, "0"), (0.25, ".2"), (-0.36, "-.4"), (3.0, "3"), (-12.34, "-12.3"), (1e-7, "0")],
)
def test_a_number_is_written_to_a_tenth_without_needless_signs(value: float, text: str) -> None:
    assert number(value) == text

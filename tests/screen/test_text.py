"""Fitting text into its place."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.screen.skia_door import skia
from caller.screen.text import draw_block, draw_numeral, fit, width_of

words = st.lists(st.text(alphabet="abcdefgäéñœß-'", min_size=1, max_size=24), min_size=1, max_size=20)


@given(
    words=words,
    width=st.floats(40.0, 2000.0),
    height=st.floats(20.0, 600.0),
    largest=st.floats(8.0, 200.0),
    lines=st.integers(1, 5),
)
def test_fitted_text_is_whole_and_inside_its_place(
    words: list[str], width: float, height: float, largest: float, lines: int
) -> None:
    block = fit(" ".join(words), width=width, height=height, largest=largest, lines=lines)
    assert " ".join(block.lines).split() == words
    assert len(block.lines) <= lines
    assert block.size <= largest
    if block.size > 1.0:
        assert block.width <= width + 1e-6
        assert block.height <= height + 1e-6


def test_text_that_has_room_keeps_its_size() -> None:
    block = fit("half past four", width=1000.0, height=100.0, largest=40.0)
    assert block.size == 40.0
    assert block.lines == ("half past four",)


def test_lines_are_balanced_so_that_no_word_is_left_alone() -> None:
    text = "Stretch out your arms and turn round you touch nobody"
    block = fit(text, width=0.9 * width_of(text, 40.0), height=200.0, largest=40.0, lines=2)
    first, second = (width_of(line, 40.0) for line in block.lines)
    assert 0.6 < first / second < 1.7


def test_nothing_to_say_takes_no_room() -> None:
    block = fit("  ", width=100.0, height=100.0, largest=40.0)
    assert (block.lines, block.width, block.height) == ((), 0.0, 0.0)


def test_width_adds_up_over_typefaces() -> None:
    assert width_of("ab", 100.0) == pytest.approx(width_of("a", 100.0) + width_of("b", 100.0), abs=0.5)
    assert width_of("aЖ", 100.0) > width_of("a", 100.0)


def inked_box(draw_on: skia.Surface) -> tuple[int, int, int, int]:
    ink = draw_on.makeImageSnapshot().toarray()[..., 3] > 127
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    return int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1


def test_a_numeral_is_centred_on_its_point() -> None:
    surface = skia.Surface(400, 400)
    draw_numeral(surface.getCanvas(), "8", x=200.0, y=200.0, size=300.0, colour=0xFF000000)
    left, top, right, bottom = inked_box(surface)
    assert (left + right) / 2 == pytest.approx(200, abs=4)
    assert (top + bottom) / 2 == pytest.approx(200, abs=3)


def test_a_block_begins_where_it_is_told() -> None:
    surface = skia.Surface(600, 300)
    block = fit("HE HE HE HE HE", width=300.0, height=250.0, largest=60.0, lines=3)
    draw_block(surface.getCanvas(), block, x=50.0, top=30.0, colour=0xFF000000, align="left")
    left, top, right, bottom = inked_box(surface)
    assert left == pytest.approx(50, abs=6)
    assert top == pytest.approx(30, abs=1.5)
    assert right <= 50 + block.width + 1
    assert bottom <= 30 + block.height


def test_a_line_never_breaks_at_a_no_break_space() -> None:
    text = "Bravo les sternes\u00a0!"
    for width in range(60, 400, 10):
        lines = fit(text, width=width, height=200, largest=40, lines=4).lines
        assert not any(line.startswith("!") for line in lines)

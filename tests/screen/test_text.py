"""The typefaces: what they can write, what they look like to a beginner, and what happens without them.
Fitting text into its place.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib import resources
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.screen import text as fonts
from caller.screen.skia_door import skia
from caller.screen.text import draw_block, draw_numeral, fit, width_of

WRITTEN = (
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
    "áéíóúüñÁÉÍÓÚÜÑ¿¡ºª"  # Spanish
    "àâæçéèêëîïôœùûüÿÀÂÆÇÉÈÊËÎÏÔŒÙÛÜŸ«»"  # French
    "äöüßÄÖÜẞ„“"  # German
    ".,:;!?'’‘”()[]+-–—…/%&·½¼°"
)


@pytest.fixture
def fresh_cache() -> Iterator[None]:
    fonts.typeface.cache_clear()
    yield
    fonts.typeface.cache_clear()


@pytest.mark.parametrize("bold", [False, True])
def test_every_letter_of_our_languages_is_in_the_typeface(bold: bool) -> None:
    face = fonts.typeface(bold)
    assert face.getFamilyName() == "Lexend"
    assert [letter for letter in WRITTEN if not face.unicharToGlyph(ord(letter))] == []


@pytest.mark.parametrize("bold", [False, True])
def test_the_zero_is_plain_and_does_not_look_like_the_letter(bold: bool) -> None:
    font = fonts.font(fonts.typeface(bold), 200.0)
    outlines = {sign: font.getPath(font.unicharToGlyph(ord(sign))) for sign in "0O"}
    # A ring has two outlines; a slash or a dot in it would add one.
    moves = [verb for verb in outlines["0"].getVerbs(100) if verb == skia.Path.Verb.kMove_Verb]
    assert outlines["0"].getBounds().width() < 0.9 * outlines["O"].getBounds().width()
    assert len(moves) == 2


def test_the_licence_of_the_typeface_goes_with_it() -> None:
    text = resources.files("caller.screen").joinpath("fonts", "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in text
    assert "Lexend Project Authors" in text


def test_a_sign_we_do_not_have_is_written_in_another_typeface_or_left_to_ours() -> None:
    assert fonts.face_for("e").uniqueID() == fonts.typeface(False).uniqueID()
    assert fonts.face_for(" ").uniqueID() == fonts.typeface(False).uniqueID()
    assert fonts.face_for("\U000f0000") is not None  # no typeface anywhere has a private sign


@pytest.mark.parametrize("damage", ["missing", "damaged"])
def test_without_its_file_the_system_typeface_steps_in(
    damage: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fresh_cache: None
) -> None:
    (tmp_path / "fonts").mkdir()
    if damage == "damaged":
        (tmp_path / "fonts" / "Lexend-Bold.ttf").write_bytes(b"not a typeface")
    monkeypatch.setattr("caller.screen.text.resources.files", lambda _: tmp_path)
    face = fonts.typeface(True)
    assert face is not None
    assert fonts.font(face, 20.0).measureText("10:00") >= 0.0


def test_a_word_is_as_wide_in_proportion_at_every_size() -> None:
    face = fonts.typeface(False)
    small, large = (fonts.font(face, size).measureText("twenty to five") / size for size in (13.0, 260.0))
    assert small == pytest.approx(large, rel=0.002)


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

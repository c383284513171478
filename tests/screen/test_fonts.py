"""The typefaces: what they can write, what they look like to a beginner, and what happens without them."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import resources
from pathlib import Path

import pytest

from caller.screen import fonts
from caller.screen.skia_door import skia

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
    monkeypatch.setattr("caller.screen.fonts.resources.files", lambda _: tmp_path)
    face = fonts.typeface(True)
    assert face is not None
    assert fonts.font(face, 20.0).measureText("10:00") >= 0.0


def test_a_word_is_as_wide_in_proportion_at_every_size() -> None:
    face = fonts.typeface(False)
    small, large = (fonts.font(face, size).measureText("twenty to five") / size for size in (13.0, 260.0))
    assert small == pytest.approx(large, rel=0.002)

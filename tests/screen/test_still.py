"""Pictures as files."""

from __future__ import annotations

import io
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from caller.clock.times import ClockTime
from caller.screen.scene import Scene
from caller.screen.skia_door import skia
from caller.screen.still import file_bytes, pdf_bytes, png_bytes, svg_bytes, write_png
from caller.screen.worksheet import draw_plain_dial
from tests.reference.dial_reader import read_dial
from tests.screen.boards import CLOCK


def dial(canvas: skia.Canvas) -> None:
    canvas.clear(0xFFFFFFFF)
    draw_plain_dial(canvas, ClockTime(7, 35), size=400)


def decoded(data: bytes) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    return np.asarray(skia.Image.MakeFromEncoded(skia.Data.MakeWithCopy(data)).toarray())


def test_a_png_has_the_size_asked_for_and_shows_the_dial() -> None:
    pixels = decoded(png_bytes(dial, 400, 400))
    assert pixels.shape == (400, 400, 4)
    assert read_dial(pixels).time == (7, 35)


def test_an_svg_is_drawn_again_by_an_svg_renderer_and_shows_the_same_time() -> None:
    data = svg_bytes(dial, 400, 400)
    root = ElementTree.fromstring(data)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert not root.findall(".//{http://www.w3.org/2000/svg}text")  # letters are outlines
    surface = skia.Surface(400, 400)
    surface.getCanvas().clear(0xFFFFFFFF)
    picture = skia.SVGDOM.MakeFromStream(skia.MemoryStream(data))
    picture.render(surface.getCanvas())
    assert read_dial(np.asarray(surface.toarray())).time == (7, 35)


def test_a_pdf_has_one_page_of_the_size_asked_for_and_its_title() -> None:
    data = pdf_bytes(dial, 400, 300, title="Twenty-five to eight")
    assert data.startswith(b"%PDF-1.")
    assert data.rstrip().endswith(b"%%EOF")
    assert b"/MediaBox [0 0 400 300]" in data
    assert data.count(b"/Type /Page\n") == 1
    assert b"Twenty-five to eight" in data


@pytest.mark.parametrize(("ending", "start"), [("png", b"\x89PNG"), (".SVG", b"<?xml"), ("pdf", b"%PDF")])
def test_the_ending_says_what_is_written(ending: str, start: bytes) -> None:
    assert file_bytes(dial, 400, 400, ending).startswith(start)


def test_an_unknown_ending_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^no picture can be written as 'gif'$"):
        file_bytes(dial, 400, 400, "gif")


def test_a_scene_is_written_to_a_file(tmp_path: Path) -> None:
    path = tmp_path / "scene.png"
    write_png(Scene(board=CLOCK), path, width=640, height=360)
    assert decoded(path.read_bytes()).shape == (360, 640, 4)
    assert io.BytesIO(path.read_bytes()).read(8) == b"\x89PNG\r\n\x1a\n"

"""The shared pixel buffer. Pictures as files. What the last row sees."""

from __future__ import annotations

import io
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from caller.clock import ClockTime
from caller.clock.said_and_shown import HandPulse
from caller.runsheet import Board, Dial, Lane
from caller.screen import figures_on_stage
from caller.screen.figures_on_stage import KeptFigures, Performer, draw_performer
from caller.screen.for_paper import draw_plain_dial
from caller.screen.raster import (
    Raster,
    as_seen,
    blur_px,
    changed,
    file_bytes,
    pdf_bytes,
    png_bytes,
    svg_bytes,
    write_png,
)
from caller.screen.scene import ActiveCue, RaisedSignal, Scene
from caller.screen.skia_door import skia
from caller.screen.stage import draw_scene
from caller.screen.theme import DARK, LIGHT, Theme
from tests.reference.dial_reader import read_dial
from tests.screen.boards import BOARDS, CLOCK

LANES = (
    Lane(side="left", numeral="4:40", words="four forty", move="march", move_name="march"),
    Lane(side="right", numeral="8:20", words="eight twenty", move="star-jumps", move_name="star jumps"),
)
BOARD = Board(layout="clock", dials=(Dial(time=ClockTime(4, 40)),), lanes=LANES, progress="1 of 1")
SCENE = Scene(board=BOARD, caption="What time is it?", move_s=1.0)


def test_what_a_picture_holds_is_not_drawn_again() -> None:
    raster = Raster(640, 360)
    assert raster.draw_changes(SCENE, LIGHT) == [(0, 0, 640, 360)]
    assert raster.draw_changes(replace(SCENE), LIGHT) == []
    assert raster.draw_changes(SCENE, DARK) == [(0, 0, 640, 360)]


def test_what_somebody_else_has_drawn_over_is_drawn_again() -> None:
    raster = Raster(640, 360)
    raster.draw(SCENE, LIGHT)
    raster.canvas.clear(0)
    assert raster.draw_changes(SCENE, LIGHT) == [(0, 0, 640, 360)]


def test_changes_make_the_whole_picture_whatever_came_before() -> None:
    raster = Raster(640, 360)
    scenes = [
        SCENE,
        replace(SCENE, move_s=1.4, caption="Go!", think_s=12.0, left_s=9.0),
        replace(SCENE, move_s=2.9, caption="Go!", think_s=12.0, left_s=3.5),
        replace(SCENE, board=replace(BOARD, answer="left"), point_to="left"),
        replace(SCENE, cues=(ActiveCue(cue=HandPulse("hour"), progress=0.5),)),
        replace(SCENE, notice="Noted."),
        replace(SCENE, raised=RaisedSignal(signal="time-up", up=0.25)),
        replace(SCENE, raised=RaisedSignal(signal="time-up", up=1.0)),
        replace(SCENE, raised=RaisedSignal(signal="quiet", up=1.0)),
    ]
    for before in scenes:
        for after in scenes:
            raster.draw(before, LIGHT)
            raster.draw_changes(after, LIGHT)
            whole = Raster(640, 360).draw(after, LIGHT)
            # Soft edges come out a few levels off under a clip; a part left out would be off by a hundred.
            assert np.abs(raster.pixels.astype(int) - whole).max() <= 8


def test_a_cloth_that_comes_up_changes_the_foot_of_the_picture_only() -> None:
    half, whole = (replace(SCENE, raised=RaisedSignal(signal="attention", up=up)) for up in (0.5, 1.0))
    for before, after in ((SCENE, half), (half, whole), (whole, half), (half, SCENE)):
        ((left, top, right, bottom),) = changed(before, after, 640, 360, LIGHT)
        assert (left, right, bottom) == (0, 640, 360)
        assert top > 0.75 * 360
    assert changed(whole, replace(whole), 640, 360, LIGHT) == []


def test_moving_figures_change_what_they_are_drawn_on_only() -> None:
    boxes = changed(SCENE, replace(SCENE, move_s=1.1), 1920, 1080, LIGHT)
    assert len(boxes) == 2
    assert sum((right - left) * (bottom - top) for left, top, right, bottom in boxes) < 0.15 * 1920 * 1080


def test_another_board_changes_the_whole_picture() -> None:
    assert changed(SCENE, replace(SCENE, board=replace(BOARD, answer="left")), 1920, 1080, LIGHT) == [
        (0, 0, 1920, 1080)
    ]
    assert changed(SCENE, replace(SCENE, point_to="left"), 1920, 1080, LIGHT) == [(0, 0, 1920, 1080)]


def test_cues_at_rest_change_nothing() -> None:
    swelling = [
        replace(SCENE, cues=(ActiveCue(cue=HandPulse("hour"), progress=share),)) for share in (0.3, 0.7, 0.9)
    ]
    assert changed(swelling[0], swelling[1], 1920, 1080, LIGHT) != []
    assert changed(swelling[1], swelling[2], 1920, 1080, LIGHT) == []


def test_only_the_bead_that_is_picked_up_changes() -> None:
    before, after = (replace(SCENE, think_s=25.0, left_s=left_s) for left_s in (20.0, 19.0))
    [(left, top, right, bottom)] = changed(before, after, 1920, 1080, LIGHT)
    assert right - left < 60
    assert 1000 < top < bottom
    half_way = replace(SCENE, think_s=25.0, left_s=19.6)
    assert changed(before, half_way, 1920, 1080, LIGHT) == []
    [(left, _, right, _)] = changed(SCENE, before, 1920, 1080, LIGHT)
    assert (left, right) == (0, 1920)


def test_boxes_are_even_and_do_not_overlap() -> None:
    after = replace(SCENE, move_s=2.0, caption="Go!", think_s=6.0, left_s=4.5)
    boxes = changed(SCENE, after, 1366, 768, LIGHT)
    assert all(edge % 2 == 0 for box in boxes for edge in box)
    covered = np.zeros((768, 1366), int)
    for left, top, right, bottom in boxes:
        covered[top:bottom, left:right] += 1
    assert covered.max() == 1


def test_drawing_goes_into_the_same_memory_every_time() -> None:
    raster = Raster(640, 360)
    first = raster.draw(Scene(board=CLOCK), LIGHT)
    light = first.copy()
    second = raster.draw(Scene(board=CLOCK), DARK)
    assert first is second is raster.pixels
    assert (first != light).any()


@pytest.mark.parametrize("name", BOARDS)
def test_kept_parts_give_the_same_picture_as_drawing_everything(name: str) -> None:
    scene = Scene(board=BOARDS[name], caption="Ready?", move_s=0.3)
    raster = Raster(640, 360)
    for other in ("clock", "dials", "title", name):
        raster.draw(Scene(board=BOARDS[other]), LIGHT)
    surface = skia.Surface(640, 360)
    draw_scene(surface.getCanvas(), scene, width=640, height=360, theme=LIGHT)
    expected = np.asarray(surface.toarray(colorType=skia.ColorType.kBGRA_8888_ColorType))
    assert (raster.draw(scene, LIGHT) == expected).all()


_ROOM = 4 * 4 * 640 * 360  # bytes of figures: four pictures
ROUNDED = 8  # levels of 255: soft edges over one another are rounded before they are laid down, not after


def drawn_whole(scene: Scene) -> NDArray[np.int16]:
    surface = skia.Surface(640, 360)
    draw_scene(surface.getCanvas(), scene, width=640, height=360, theme=LIGHT)
    return np.asarray(surface.toarray()).astype(np.int16)


@pytest.mark.parametrize("name", BOARDS)
def test_figures_that_were_kept_stand_where_they_are_drawn_when_their_loop_comes_round(name: str) -> None:
    raster = Raster(640, 360, figures=KeptFigures(_ROOM))
    for seconds in (0.0, 0.3, 0.5, 8.0, 8.3, 8.5):  # whole loops of sixteen beats apart, two a second
        scene = Scene(board=BOARDS[name], caption="Ready?", doing="move", move_s=seconds, bpm=120.0)
        raster.draw_changes(scene, LIGHT)
        assert np.abs(raster.pixels - drawn_whole(scene)).max() <= ROUNDED, seconds


@pytest.mark.parametrize("room", [0, 100_000, 400_000])
def test_what_there_is_no_room_to_keep_is_drawn_all_the_same(
    room: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(figures_on_stage, "_LONG_AGO", 10)
    figures = KeptFigures(room)
    raster = Raster(640, 360, figures=figures)
    for tenth in range(40):
        scene = replace(SCENE, doing="move", move_s=tenth / 10, bpm=120.0)
        raster.draw_changes(scene, LIGHT)
        assert sum(kept.size_bytes for kept in figures._kept.values()) <= room
        assert np.abs(raster.pixels - drawn_whole(scene)).max() <= ROUNDED
    assert bool(figures._kept) == bool(room)


def test_a_loop_that_comes_round_is_laid_down_and_not_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[Performer] = []

    def counted(canvas: skia.Canvas, performer: Performer, theme: Theme) -> None:
        drawn.append(performer)
        draw_performer(canvas, performer, theme)

    monkeypatch.setattr(figures_on_stage, "draw_performer", counted)
    raster = Raster(640, 360, figures=KeptFigures(_ROOM))
    for frame in range(240):
        raster.draw_changes(replace(SCENE, doing="move", move_s=frame / 30, bpm=120.0), LIGHT)
        if frame == 119:
            first = len(drawn)
    assert first > 30
    assert len(drawn) == first


def test_figures_are_shared_by_pictures_drawn_in_several_threads() -> None:
    figures = KeptFigures(_ROOM)

    def drawn(part: int) -> int:
        raster = Raster(640, 360, figures=figures)
        return max(
            int(np.abs(raster.draw(scene, LIGHT) - drawn_whole(scene)).max())
            for tenth in range(part, 24, 2)
            for scene in [replace(SCENE, doing="move", move_s=tenth / 10, bpm=120.0)]
        )

    with ThreadPoolExecutor(2) as pool:
        assert max(pool.map(drawn, range(2))) <= ROUNDED
    assert sum(kept.size_bytes for kept in figures._kept.values()) == _ROOM - figures._left_bytes


def test_pixels_are_blue_green_red_alpha_and_opaque() -> None:
    raster = Raster(64, 36)
    raster.canvas.clear(0xFF102030)
    assert raster.pixels.shape == (36, 64, 4)
    assert raster.pixels[0, 0].tolist() == [0x30, 0x20, 0x10, 0xFF]


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


def test_the_blur_follows_distance_size_and_eye() -> None:
    # A picture 1.8 m high with 1080 rows: 2.62 pixels to an arc minute at 15 m.
    near = blur_px(1080, image_height_m=1.8, distance_m=15.0)
    assert near / 0.7 / 2.0 == pytest.approx(2.62, abs=0.01)
    assert blur_px(1080, image_height_m=1.8, distance_m=15.0, acuity_arcmin=3.0) == pytest.approx(1.5 * near)
    assert blur_px(1080, image_height_m=1.8, distance_m=30.0) == pytest.approx(2 * near, rel=0.01)
    assert blur_px(2160, image_height_m=1.8, distance_m=15.0) == pytest.approx(2 * near)


def test_it_is_a_gaussian_in_linear_light() -> None:
    """Held against scipy's filter, with the transfer curve of IEC 61966-2-1 written out here."""
    rng = np.random.default_rng(4)
    picture = rng.integers(0, 256, (40, 52, 3), dtype=np.uint8)
    share = picture / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    blurred = gaussian_filter(linear, (2.5, 2.5, 0.0), mode="nearest", truncate=3.2)
    back = np.where(blurred <= 0.0031308, 12.92 * blurred, 1.055 * blurred ** (1 / 2.4) - 0.055) * 255
    assert np.abs(as_seen(picture, 2.5) - back).max() < 1.5


def test_a_plain_picture_stays_as_it_is() -> None:
    plain = np.full((30, 30, 4), 200, np.uint8)
    assert (as_seen(plain, 4.0) == plain).all()

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.clock import ClockTime, DayTime
from caller.clock.said_and_shown import GhostDial, HandPulse
from caller.export.web.canvas import Pieces
from caller.export.web.pictures import PictureBook
from caller.moves import catalogue
from caller.runsheet import Board, Dial, Lane
from caller.screen.dial import NUMERAL_REACH
from caller.screen.layout import places
from caller.screen.raster import Raster
from caller.screen.scene import ActiveCue, Scene
from caller.screen.skia_door import skia
from caller.screen.theme import LIGHT

WIDTH, HEIGHT = 1280, 720
LANES = (
    Lane(side="left", numeral="", words="", move="star-jumps", move_name=""),
    Lane(side="right", numeral="", words="", move="knee-lifts", move_name=""),
)
BOARD = Board(layout="clock", dials=(Dial(time=ClockTime(4, 40)),), lanes=LANES)


def markup_of(pieces: Pieces, picture: tuple[int, ...]) -> str:
    """Put a picture together as the page's player does."""
    parts = []
    for number in picture:
        symbol, x, y, opacity = pieces.groups.items[number]
        elements = "".join(
            pieces.markup.items[markup].replace("/>", f' d="{pieces.paths.items[path]}"/>')
            if path >= 0
            else pieces.markup.items[markup]
            for markup, path in pieces.symbols.items[symbol]
        )
        parts.append(f'<g transform="translate({x} {y})" opacity="{opacity}">{elements}</g>')
    return f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}">{"".join(parts)}</svg>'


def exported(scene: Scene) -> NDArray[np.int16]:
    book = PictureBook(width=WIDTH, height=HEIGHT, theme=LIGHT)
    pieces, picture = book.pieces, book.picture(scene)
    surface = skia.Surface(WIDTH, HEIGHT)
    stream = skia.MemoryStream.MakeCopy(markup_of(pieces, picture).encode())
    skia.SVGDOM.MakeFromStream(stream).render(surface.getCanvas())
    pixels = surface.toarray(colorType=skia.ColorType.kRGBA_8888_ColorType)
    return np.asarray(pixels[..., :3], np.int16)


def on_screen(scene: Scene) -> NDArray[np.int16]:
    return Raster(WIDTH, HEIGHT).draw(scene, LIGHT)[..., 2::-1].astype(np.int16)


def away_from_numerals(board: Board) -> NDArray[np.bool_]:
    """Where no numeral stands: this reader of SVG has not got our typeface."""
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    clear = np.ones((HEIGHT, WIDTH), bool)
    for place in places(board, WIDTH, HEIGHT).middle.dials:
        distance = np.hypot(x - place.centre[0], y - place.centre[1]) / place.radius
        clear &= (distance < 0.54) | (distance > NUMERAL_REACH + 0.01)
    return clear


@pytest.mark.parametrize(
    "scene",
    [
        Scene(board=BOARD, move_s=0.3),
        Scene(board=BOARD, think_s=25.0, left_s=13.0, move_s=1.4),
        # The answer is out: the other lane steps back, and its figure with it.
        Scene(board=replace(BOARD, answer="left"), move_s=0.3),
        Scene(board=replace(BOARD, answer="left"), point_to="right", move_s=0.3),
        Scene(board=Board(layout="figure", move="march"), move_s=0.7),
        Scene(board=Board(layout="figure", arms=ClockTime(4, 0))),
        Scene(board=replace(BOARD, day_time=DayTime(16, 40))),
        Scene(board=replace(BOARD, day_time=DayTime(4, 40))),
        Scene(board=BOARD, cues=(ActiveCue(cue=GhostDial(ClockTime(8, 20)), progress=0.6),)),
        Scene(board=BOARD, cues=(ActiveCue(cue=HandPulse("hour"), progress=0.3),)),
    ],
)
def test_an_exported_picture_is_the_picture_of_the_screen(scene: Scene) -> None:
    apart = np.abs(exported(scene) - on_screen(scene)).max(axis=2)[away_from_numerals(scene.board)]
    # Edges may differ, by a fraction of a pixel.
    assert apart.mean() < 0.4
    assert (apart > 100).mean() < 0.0005


def test_the_comparison_sees_a_figure_that_does_not_step_back() -> None:
    faded, plain = Scene(board=replace(BOARD, answer="left")), Scene(board=BOARD)
    apart = np.abs(exported(faded) - on_screen(plain)).max(axis=2)[away_from_numerals(BOARD)]
    assert apart.mean() > 0.4


def test_a_loop_that_comes_round_is_kept_once() -> None:
    book = PictureBook(width=WIDTH, height=HEIGHT, theme=LIGHT)
    scene = Scene(board=Board(layout="figure", move="march"))
    loop_s = 1 / catalogue()["march"].tempo_hz
    pictures = [
        book.picture(replace(scene, move_s=loop_s * turn + moment))
        for turn in range(4)
        for moment in (0.0, 0.25, 0.5)
    ]
    assert len(set(pictures)) == 3
    assert pictures[:3] == pictures[3:6]

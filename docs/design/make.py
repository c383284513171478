"""Draw the three directions of the stage, each as it is and as the last row sees it.

Run `python docs/design/make.py` after a change to the stage, and look at the pictures.
"""

from __future__ import annotations

from pathlib import Path
from unittest.mock import patch

import numpy as np
from PIL import Image

from caller.clock import ClockTime
from caller.runsheet import Board, Dial, Lane
from caller.screen import Rect, ground, lanes, stage
from caller.screen.figures_on_stage import FigureDoing, alone, draw_performer, look_for
from caller.screen.layout import Places, places
from caller.screen.raster import as_seen, blur_px
from caller.screen.scene import Scene
from caller.screen.skia_door import skia
from caller.screen.text import draw_numeral
from caller.screen.theme import LIGHT

FOLDER = Path(__file__).parent
WIDTH, HEIGHT = 640, 360
BOARD = Board(
    layout="clock",
    dials=(Dial(time=ClockTime(4, 40)),),
    lanes=(
        Lane(side="left", numeral="4:40", words="twenty to five", move="star-jumps", move_name="star jumps"),
        Lane(side="right", numeral="5:40", words="twenty to six", move="high-knees", move_name="high knees"),
    ),
)


def draw_panels(canvas: skia.Canvas) -> None:
    """Two tinted panels at the sides: what anyone would draw."""
    bare = Board(layout="clock", dials=BOARD.dials)
    stage.draw_scene(canvas, Scene(board=bare), width=WIDTH, height=HEIGHT, theme=LIGHT)
    placed: Places = places(BOARD, WIDTH, HEIGHT)
    for number, lane in enumerate(BOARD.lanes):
        room = placed.lanes[lane.side]
        panel = Rect(x=room.x, y=room.y, width=room.width, height=placed.beads.y - room.y)
        colours = LIGHT.lane(lane.side)
        box = skia.Rect.MakeXYWH(panel.x, panel.y, panel.width, panel.height)
        canvas.drawRoundRect(box, 12, 12, skia.Paint(AntiAlias=True, Color=colours.tint))
        draw_numeral(canvas, lane.numeral, x=panel.centre_x, y=panel.y + 40, size=60, colour=LIGHT.ink)
        draw_numeral(canvas, lane.words, x=panel.centre_x, y=panel.y + 86, size=19, colour=LIGHT.ink)
        figure = panel.inset(10, 0)
        figure = Rect(x=figure.x, y=panel.y + 110, width=figure.width, height=panel.height - 120)
        draw_performer(
            canvas, alone(FigureDoing(what=lane.move), figure, look=look_for(number), step=240), LIGHT
        )


def draw_hall(canvas: skia.Canvas) -> None:
    """The hall itself, with its banners and mats."""
    stage.standing_parts.cache_clear()
    scene = Scene(board=BOARD, move_s=0.5)
    stage.draw_scene(canvas, scene, width=WIDTH, height=HEIGHT, theme=LIGHT)
    stage.standing_parts.cache_clear()


def draw_plain_hall(canvas: skia.Canvas) -> None:
    """The same with cloth that is not woven."""
    with patch.multiple(ground, _BANNER_THREAD=0.0, _MAT_THREAD=0.0), patch.object(lanes, "draw_wall"):
        draw_hall(canvas)


def main() -> None:
    """Draw them all."""
    sigma = blur_px(HEIGHT, image_height_m=1.8, distance_m=15.0)
    for name, draw in (("panels", draw_panels), ("plain", draw_plain_hall), ("woven", draw_hall)):
        pixels = np.zeros((HEIGHT, WIDTH, 4), np.uint8)
        draw(skia.Surface(pixels).getCanvas())
        both = np.hstack([pixels, as_seen(pixels, sigma)])[..., :3]
        Image.fromarray(both).save(FOLDER / f"{name}.png")


if __name__ == "__main__":
    main()

"""The first page of a folder that is handed over: three steps, for somebody who has one minute."""

from __future__ import annotations

import base64
from functools import partial
from html import escape
from importlib.resources import files
from typing import Final

from caller.export.programme import Programme
from caller.lesson.model import Lesson
from caller.moves.safety import who_decides
from caller.screen.stage import draw_scene
from caller.screen.still import png_bytes
from caller.screen.theme import LIGHT
from caller.timeline.picture import scene_at

_SIZE: Final = (960, 540)


def start_page(programme: Programme, lesson: Lesson, *, video: bool) -> str:
    """Return the page; `video` tells whether the folder holds the lesson as a video too."""
    feet = (
        "Chairs out: everybody sits."
        if lesson.seated
        else "Shoes on, laces tied."
        if lesson.shod
        else "Bare feet, no socks."
    )
    page = files("caller.export").joinpath("start_page.html").read_text("utf-8")
    return page.format(
        title=escape(lesson.title or "A lesson with clocks"),
        for_class=f", for the {escape(lesson.class_name)}" if lesson.class_name else "",
        minutes=max(1, round(programme.length / 48_000 / 60)),
        picture=base64.b64encode(_picture(programme)).decode("ascii"),
        feet=feet,
        video=', or <a href="lesson.mp4">the video</a>' if video else "",
        who_decides=escape(who_decides()),
    )


def _picture(programme: Programme) -> bytes:
    """Return what the children see when they are first asked, as a PNG."""
    asked = next(
        (layout for layout in programme.layouts if layout.call.round and len(layout.call.board.lanes) > 1),
        programme.layouts[0],
    )
    scene = scene_at(asked, asked.length - 1)
    width, height = _SIZE
    return png_bytes(partial(draw_scene, scene=scene, width=width, height=height, theme=LIGHT), width, height)

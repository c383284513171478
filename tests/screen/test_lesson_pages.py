"""Every page of a lesson, in every language and on every usual screen: letters are large enough, and no words
stand on each other or leave the picture."""

from __future__ import annotations

from dataclasses import replace
from itertools import islice

import pytest

from caller.lesson.library import read_lesson, ready_lessons
from caller.runsheet.sequence import make_run_sheet
from caller.screen.scene import Scene
from caller.screen.skia_door import skia
from caller.screen.stage import draw_scene
from caller.screen.theme import LIGHT
from tests.live.start.test_pages import LEAST_SHARE, SIZES
from tests.live.start.text_on_pages import NotingCanvas, overlaps
from tests.reference.test_words_from_the_last_row import OF_EVERY_KIND, moments
from tests.sampling import NIGHTLY, sampled

LANGUAGES = ("en-GB", "de", "fr", "es")
BY_DAY = 5
"""Of the moments of each kind of question, on one screen each."""


def faults_of(scene: Scene, width: int, height: int) -> list[str]:
    recorder = skia.PictureRecorder()  # notes what is drawn, and fills no pixels
    canvas = NotingCanvas(recorder.beginRecording(skia.Rect.MakeWH(width, height)))
    draw_scene(canvas, scene, width=width, height=height, theme=LIGHT)  # type: ignore[arg-type]
    small = [
        f"{each.text!r} is {each.letters / height:.2%} high"
        for each in canvas.written
        if each.letters < LEAST_SHARE * height and not each.text.isdigit()  # numerals belong to their dial
    ]
    outside = [
        f"{each.text!r} leaves the picture"
        for each in canvas.written
        if each.left < 0 or each.right > width or each.top < 0 or each.bottom > height
    ]
    return small + outside + [str(pair) for pair in overlaps(canvas.written)]


@pytest.mark.parametrize("code", LANGUAGES)
@pytest.mark.parametrize("name", sampled(OF_EVERY_KIND, len(OF_EVERY_KIND)))  # by day the first of them
def test_letters_are_large_enough_and_stand_clear_of_each_other(name: str, code: str) -> None:
    lesson = replace(read_lesson(ready_lessons()[name]), language=code, second_language=None)
    scenes = list(moments(make_run_sheet(lesson)))
    # By day some moments, each on one screen, other ones in each language.
    first = LANGUAGES.index(code)
    looked = scenes if NIGHTLY else list(islice(scenes, first, None, max(1, len(scenes) // BY_DAY)))
    faults = [
        f"{scene.board.title or scene.caption} at {width}x{height}: {fault}"
        for number, scene in enumerate(looked)
        for width, height in (SIZES if NIGHTLY else SIZES[(number + first) % len(SIZES) :][:1])
        for fault in faults_of(scene, width, height)
    ]
    assert not faults, "\n".join(faults)

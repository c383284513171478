"""An outside reader of letters reads every word on the screen as the last row sees it.

Tesseract (Debian's `tesseract-ocr`) is given whole pictures of a lesson, blurred as an eye blurs them: a
Gaussian in linear light of 0.7 of the eye's smallest angle, with which the reader's own threshold on Sloan
letters is the eye chart's. The picture is 1.8 m high and 15 m away, as in the gym that comes with the
program. School screening passes 20/40 at four and five years; 20/60 is the margin.
"""

from __future__ import annotations

import io
import math
import os
import re
import shutil
import subprocess
from collections.abc import Iterator

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import gaussian_filter

from caller.export.programme import Programme
from caller.lesson.library import read_lesson, ready_lessons
from caller.runsheet.sequence import make_run_sheet
from caller.screen import text
from caller.screen.scene import Scene
from caller.screen.skia_door import skia
from caller.screen.stage import draw_scene, standing_parts
from caller.screen.theme import LIGHT
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.segment import Timeline

WIDTH, HEIGHT = 960, 540  # letters of the size that the reader was made for
PICTURE_M, DISTANCE_M = 1.8, 15.0
PX_AN_ARCMIN = HEIGHT / (math.degrees(2 * math.atan(PICTURE_M / 2 / DISTANCE_M)) * 60)

pytestmark = pytest.mark.skipif(shutil.which("tesseract") is None, reason="tesseract is not installed")


def moments(programme: Programme) -> Iterator[Scene]:
    """Yield a scene for each set of words, in its order, from the middle of the time that it stands."""
    last: tuple[object, ...] | None = None
    kept: list[Scene] = []
    for sample in range(0, programme.length, 12_000):
        scene = programme.scene(sample)
        words = (scene.board, scene.caption, scene.point_to, scene.think_s is None)
        if words != last and kept:
            yield kept[len(kept) // 2]
            kept = []
        last = words
        kept.append(scene)
    yield kept[len(kept) // 2]


def drawn(scene: Scene, monkeypatch: pytest.MonkeyPatch) -> tuple[NDArray[np.uint8], list[str]]:
    """Return the picture and the lines written on it in full ink, other than the dials' numerals."""
    written: list[str] = []
    write = text.draw_line

    def noted(canvas: skia.Canvas, line: str, **how: object) -> None:
        if how["colour"] in (LIGHT.ink, LIGHT.quiet) and not line.isdigit():
            written.append(line)
        write(canvas, line, **how)  # type: ignore[arg-type]

    standing_parts.cache_clear()
    surface = skia.Surface(WIDTH, HEIGHT)
    with monkeypatch.context() as patch:
        patch.setattr(text, "draw_line", noted)
        draw_scene(surface.getCanvas(), scene, width=WIDTH, height=HEIGHT, theme=LIGHT)
    standing_parts.cache_clear()
    return np.asarray(surface.toarray())[..., 2::-1].copy(), written


def as_seen(pixels: NDArray[np.uint8], acuity_arcmin: float) -> Image.Image:
    sigma = 0.7 * acuity_arcmin * PX_AN_ARCMIN
    share = pixels / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    blurred = np.stack([gaussian_filter(linear[..., n], sigma) for n in range(3)], axis=-1)
    back = np.where(
        blurred <= 0.0031308, 12.92 * blurred, 1.055 * np.maximum(blurred, 0) ** (1 / 2.4) - 0.055
    )
    return Image.fromarray((back * 255).clip(0, 255).round().astype(np.uint8))


def words_of(lines: list[str]) -> list[str]:
    """Split into words and times; what stands before or after one is no part of it."""
    found = [word.strip(":") for line in lines for word in re.findall(r"[a-z0-9:]+", line.lower())]
    return [word for word in found if len(word) > 1]


def glances() -> Iterator[tuple[float, float, float, float]]:
    """Yield where the eye rests: on all of it, on its foot, and down both sides a line or two at a time."""
    yield 0.0, 0.0, 1.0, 1.0
    yield 0.0, 0.76, 1.0, 1.0
    for left in (0.0, 0.64):
        yield left, 0.0, left + 0.36, 0.8
        for top in range(0, 50, 7):
            yield left, top / 100, left + 0.36, top / 100 + 0.16


def words_read(picture: Image.Image) -> set[str]:
    wide, tall = picture.size
    found: set[str] = set()
    for left, top, right, bottom in glances():
        part = picture.crop(
            (round(left * wide), round(top * tall), round(right * wide), round(bottom * tall))
        )
        file = io.BytesIO()
        part.save(file, "png")
        told = subprocess.run(
            ["tesseract", "-", "-", "--psm", "11" if bottom - top > 0.2 else "6"],
            input=file.getvalue(),
            capture_output=True,
            check=True,
            env=os.environ | {"OMP_THREAD_LIMIT": "1"},
        ).stdout.decode()
        found |= set(words_of([told]))
    return found


@pytest.fixture(scope="module")
def scenes() -> list[Scene]:
    """Every set of words that the demo shows."""
    run_sheet = make_run_sheet(read_lesson(ready_lessons()["demo"]))
    with VoiceBox() as voice:
        return list(moments(Programme(Timeline(run_sheet, voice=voice, tones=load_tones()))))


def read_of(
    scenes: list[Scene], acuity_arcmin: float, monkeypatch: pytest.MonkeyPatch
) -> tuple[int, list[tuple[str, str]]]:
    """Return how many words the scenes show, and which were not read."""
    shown, missed = 0, []
    for scene in scenes:
        picture, lines = drawn(scene, monkeypatch)
        read = words_read(as_seen(picture, acuity_arcmin))
        shown += len(words_of(lines))
        missed += [(word, scene.caption) for word in words_of(lines) if word not in read]
    return shown, missed


@pytest.mark.nightly
@pytest.mark.parametrize(("acuity_arcmin", "least"), [(2.0, 0.98), (3.0, 0.80)], ids=["20/40", "20/60"])
def test_the_last_row_reads_the_words_of_a_whole_lesson(
    scenes: list[Scene], acuity_arcmin: float, least: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown, missed = read_of(scenes, acuity_arcmin, monkeypatch)
    assert shown > 300
    assert 1 - len(missed) / shown >= least, missed


def test_a_weak_eye_in_the_last_row_reads_four_words_in_five(
    scenes: list[Scene], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A sample, at 20/60: words of half the size would not pass it."""
    shown, missed = read_of(scenes[4 :: len(scenes) // 5], 3.0, monkeypatch)
    assert shown > 25
    assert 1 - len(missed) / shown >= 0.8, missed

"""An outside reader of letters reads every word on the screen as the last row sees it.

Tesseract (Debian's `tesseract-ocr`, with the languages of the lessons) is given pictures of lessons, blurred
as an eye blurs them: a Gaussian in linear light of 0.7 of the eye's smallest angle, with which the reader's
own threshold on Sloan letters is the eye chart's. The picture is 1.8 m high and 15 m away, as in the gym that
comes with the program. School screening passes 20/40 at four and five years; 20/60 is the margin.

An eye that reads rests on the words: the reader gets each piece of writing with all that stands near enough
to crowd its letters: 7 widths of the thinnest stroke that children see (Jeon et al. 2010), 14 minutes of arc
at 20/40. What is pale on dark is blurred as it is, and then given as a negative: the reader's makers ask for
dark letters on a pale ground (tesseract-ocr.github.io/tessdoc/ImproveQuality, "Inverting images").
"""

from __future__ import annotations

import math
import os
import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageOps
from scipy.ndimage import gaussian_filter

from caller.lesson.library import read_lesson, ready_lessons
from caller.runsheet import RunSheet
from caller.runsheet.sequence import make_run_sheet
from caller.screen import stage, text
from caller.screen.scene import ActiveCue, Scene
from caller.screen.skia_door import skia
from caller.screen.theme import DARK, LIGHT, Theme

WIDTH, HEIGHT = 960, 540
PICTURE_M, DISTANCE_M = 1.8, 15.0
PX_AN_ARCMIN = HEIGHT / (math.degrees(2 * math.atan(PICTURE_M / 2 / DISTANCE_M)) * 60)
READERS = {"en": "eng", "de": "deu", "fr": "fra", "es": "spa"}  # what it calls the languages
OTHER_LANGUAGES = tuple(language for language in READERS if language != "en")
OF_EVERY_KIND = ("demo", "minutes", "find", "later", "how-long", "day-part", "half-of-day", "be-the-clock")
CROWDED_ARCMIN = 14.0
LEVEL = np.arange(256) / 255.0
LINEAR = np.where(LEVEL <= 0.04045, LEVEL / 12.92, ((LEVEL + 0.055) / 1.055) ** 2.4)


def readers() -> set[str]:
    """Return the languages that the reader was installed with."""
    if shutil.which("tesseract") is None:
        return set()
    told = subprocess.run(["tesseract", "--list-langs"], capture_output=True, check=True, text=True).stdout
    return set(told.split())


_MISSING = sorted(set(READERS.values()) - readers())
pytestmark = pytest.mark.skipif(
    bool(_MISSING), reason=f"not installed: {', '.join(f'tesseract-ocr-{each}' for each in _MISSING)}"
)


@dataclass(kw_only=True)
class Written:
    """Lines under one another of one size, and the place of their letters."""

    lines: tuple[str, ...]
    size: float
    left: float
    top: float
    right: float
    bottom: float
    foot: float  # of the last line

    @property
    def known_by(self) -> set[tuple[object, ...]]:
        """Each word, in which third of the picture it is and in which half, and in which size."""
        across, down = (self.left + self.right) / 2 // (WIDTH / 3), self.foot // (HEIGHT / 2)
        return {(word, across, down, round(self.size)) for word in words_of(self.lines)}


@dataclass(frozen=True, kw_only=True)
class Look:
    """A piece of writing, and the sharp picture round it."""

    lines: tuple[str, ...]
    reader: str
    pale: bool  # letters on a dark ground
    pixels: NDArray[np.uint8]
    inside: tuple[int, int, int, int]  # what the eye rests on: left, top, right, bottom


def moments(run_sheet: RunSheet) -> Iterator[Scene]:
    """Yield a scene for each set of words: as each line is said, and twice while the class decides."""
    for call in run_sheet.calls:
        caption = ""
        for line in call.lines:
            caption = line.written if line.written and line.count is None else caption
            cues = (ActiveCue(cue=line.cue, progress=1.0),) if line.cue is not None else ()
            yield Scene(
                board=call.board, caption=caption, point_to=line.point_to, count=line.count, cues=cues
            )
        if call.countdown is not None:
            for left_s in (call.countdown.seconds - 0.5, 2.5):
                yield Scene(
                    board=call.board,
                    caption=caption,
                    think_s=float(call.countdown.seconds),
                    left_s=left_s,
                )


def written_on(scene: Scene, theme: Theme, monkeypatch: pytest.MonkeyPatch) -> list[Written]:
    """Return what is written in full ink, other than the dials' numerals and what is counted."""
    found: list[Written] = []

    def noted(canvas: skia.Canvas, line: str, **how: object) -> None:
        if how["colour"] not in (theme.ink, theme.quiet) or not words_of([line]) or set(line) <= set("IVX"):
            return  # a dial's numerals, Roman ones too, have a reader of their own
        size, foot, x = float(how["size"]), float(how["baseline"]), float(how["x"])  # type: ignore[arg-type]
        wide = text.width_of(line, size, bool(how.get("bold", False)))
        left = x - {"left": 0.0, "centre": 0.5, "right": 1.0}[str(how.get("align", "centre"))] * wide
        bottom = foot + text.DESCENT * size
        if found and found[-1].size == size and abs(foot - found[-1].foot - text.LEADING * size) < 1.0:
            last = found[-1]
            last.lines += (line,)
            last.left, last.right = min(last.left, left), max(last.right, left + wide)
            last.bottom, last.foot = bottom, foot
        else:
            found.append(
                Written(
                    lines=(line,),
                    size=size,
                    left=left,
                    top=foot - text.cap_height(True) * size,
                    right=left + wide,
                    bottom=bottom,
                    foot=foot,
                )
            )

    stage.standing_parts.cache_clear()
    with monkeypatch.context() as patch:
        patch.setattr(text, "draw_line", noted)
        patch.setattr(stage, "draw_performer", lambda canvas, performer, theme: None)
        recorder = skia.PictureRecorder()
        canvas = recorder.beginRecording(skia.Rect.MakeWH(WIDTH, HEIGHT))
        stage.draw_scene(canvas, scene, width=WIDTH, height=HEIGHT, theme=theme)
    stage.standing_parts.cache_clear()
    return found


def drawn(scene: Scene, theme: Theme) -> NDArray[np.uint8]:
    surface = skia.Surface(WIDTH, HEIGHT)
    stage.draw_scene(surface.getCanvas(), scene, width=WIDTH, height=HEIGHT, theme=theme)
    return np.asarray(surface.toarray())[..., 2::-1]


def looks(
    scenes: Sequence[Scene], theme: Theme, monkeypatch: pytest.MonkeyPatch, reader: str = READERS["en"]
) -> list[Look]:
    """Return looks that hold every word at least once in each place and size that it is written in."""
    seen: set[tuple[object, ...]] = set()
    found = []
    for scene in dict.fromkeys(scenes):
        new = [one for one in written_on(scene, theme, monkeypatch) if not one.known_by <= seen]
        seen = seen.union(*(one.known_by for one in new))
        picture = drawn(scene, theme) if new else None
        for one in new:
            assert picture is not None
            near = CROWDED_ARCMIN * PX_AN_ARCMIN
            far = near + 4 * 0.7 * 3.0 * PX_AN_ARCMIN
            left, top = max(0, round(one.left - far)), max(0, round(one.top - far))
            rows = slice(top, round(one.bottom + far))
            columns = slice(left, round(one.right + far))
            found.append(
                Look(
                    lines=one.lines,
                    reader=reader,
                    pale=theme is DARK,
                    pixels=picture[rows, columns].copy(),
                    inside=(
                        max(0, round(one.left - near)) - left,
                        max(0, round(one.top - near)) - top,
                        min(WIDTH, round(one.right + near)) - left,
                        min(HEIGHT, round(one.bottom + near)) - top,
                    ),
                )
            )
    return found


def as_seen(look: Look, acuity_arcmin: float) -> Image.Image:
    sigma = 0.7 * acuity_arcmin * PX_AN_ARCMIN
    linear = LINEAR[look.pixels]
    blurred = np.stack([gaussian_filter(linear[..., n], sigma) for n in range(3)], axis=-1)
    left, top, right, bottom = look.inside
    blurred = blurred[top:bottom, left:right]
    back = np.where(
        blurred <= 0.0031308, 12.92 * blurred, 1.055 * np.maximum(blurred, 0) ** (1 / 2.4) - 0.055
    )
    seen = Image.fromarray((back * 255).clip(0, 255).round().astype(np.uint8))
    return ImageOps.invert(seen) if look.pale else seen


def words_of(lines: Sequence[str]) -> list[str]:
    """Split into words and times."""
    found = [word.strip(":_") for word in re.findall(r"[\w:]+", " ".join(lines).lower())]
    return [word for word in found if len(word) > 1 and not word.isdigit()]


def words_read(pictures: Sequence[Image.Image], way: str, reader: str) -> list[set[str]]:
    """Return what the reader of a language finds on each picture, which it divides in its own `way`."""
    with tempfile.TemporaryDirectory() as folder:
        names = [Path(folder, f"{number}.png") for number in range(len(pictures))]
        for name, picture in zip(names, pictures, strict=True):
            picture.save(name, compress_level=1)
        every = Path(folder, "pictures.txt")
        every.write_text("".join(f"{name}\n" for name in names))
        told = subprocess.run(
            ["tesseract", str(every), "-", "--psm", way, "-l", reader],
            capture_output=True,
            check=True,
            env=os.environ | {"OMP_THREAD_LIMIT": "1"},
        ).stdout.decode()
    return [set(words_of([page])) for page in told.split("\f")[: len(pictures)]]


def words_missed(looked: Sequence[Look], acuity_arcmin: float) -> tuple[int, list[tuple[str, str]]]:
    """Return how many words there are, and which were not read, each with what it is written in.

    What is not read as one block is looked at again as letters that may stand anywhere.
    """
    asked = [words_of(look.lines) for look in looked]
    pictures = [as_seen(look, acuity_arcmin) for look in looked]
    missed = list(asked)
    for way in ("6", "11"):
        for reader in sorted({look.reader for look in looked}):
            left = [n for n, look in enumerate(looked) if missed[n] and look.reader == reader]
            if left:
                for n, read in zip(left, words_read([pictures[n] for n in left], way, reader), strict=True):
                    missed[n] = [word for word in missed[n] if word not in read]
    wrong = [
        (word, " / ".join(look.lines)) for look, words in zip(looked, missed, strict=True) for word in words
    ]
    return sum(map(len, asked)), wrong


def lessons_of(names: Sequence[str], language: str | None = None) -> dict[str, list[Scene]]:
    """Return the scenes of lessons, by the reader of their languages."""
    found: dict[str, list[Scene]] = {}
    for name in names:
        lesson = read_lesson(ready_lessons()[name])
        if language is not None:
            lesson = replace(lesson, language=language, second_language=None)
        heard = [heard[:2] for heard in (lesson.language, lesson.second_language) if heard is not None]
        found.setdefault("+".join(READERS[each] for each in heard), []).extend(
            moments(make_run_sheet(lesson))
        )
    return found


@pytest.mark.nightly
@pytest.mark.timeout(1800)
@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
@pytest.mark.parametrize(
    ("language", "names"),
    [(None, tuple(ready_lessons())), *((language, OF_EVERY_KIND) for language in OTHER_LANGUAGES)],
    ids=["every lesson", *OTHER_LANGUAGES],
)
def test_the_last_row_reads_every_word(
    language: str | None, names: Sequence[str], theme: Theme, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked = [
        look
        for reader, scenes in lessons_of(names, language).items()
        for look in looks(scenes, theme, monkeypatch, reader)
    ]
    for acuity_arcmin, least in ((2.0, 0.98), (3.0, 0.80)):
        asked, missed = words_missed(looked, acuity_arcmin)
        assert asked > 300
        assert 1 - len(missed) / asked >= least, missed


def test_a_weak_eye_in_the_last_row_reads_four_words_in_five(monkeypatch: pytest.MonkeyPatch) -> None:
    """A sample, at 20/60: words of half the size would not pass it."""
    (scenes,) = lessons_of(["demo"]).values()
    asked, missed = words_missed(looks(scenes[4 :: len(scenes) // 8], LIGHT, monkeypatch), 3.0)
    assert asked > 25
    assert 1 - len(missed) / asked >= 0.8, missed

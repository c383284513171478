"""Who does not hear that attention is asked, or that time is up, sees it at the same moment.

What is heard is found in the mixed sound alone, by its energy: the first stretch of it is the tone, the next
one the words. What is seen is found in the pixels alone: the lowest rows of the picture, at its left edge,
where no lesson stands anything, against the same rows when the call ends.

How near they must be: a frame or two, less than the 45 ms by which sound may lead a picture unnoticed
(ITU-R BT.1359, from memory). One flash at most: up, and down again (WCAG 2.2, 2.3.1 allows three a second).
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.lesson.library import read_lesson, ready_lessons
from caller.runsheet.sequence import make_run_sheet
from caller.screen.caption import draw_cloth
from caller.screen.layout import places
from caller.screen.raster import Raster, as_seen, blur_px
from caller.screen.scene import HallSignal, RaisedSignal, Scene
from caller.screen.theme import CONTRAST, DARK, DIAL, LIGHT, THEMES, Theme
from caller.sound.tones import load_tones
from caller.timeline.picture import picture_of
from caller.timeline.segment import Segment, Timeline
from tests.export.conftest import HummingVoice
from tests.screen.boards import CLOCK

RATE, FRAME = 48_000, 1_600
WIDTH, HEIGHT = 160, 90
SIGNALS: tuple[HallSignal, ...] = ("attention", "time-up", "quiet")


@pytest.fixture(scope="module")
def segments() -> dict[str, Segment]:
    """The first call of each kind of a ready lesson, heard in a voice that hums, with the real tones."""
    sheet = make_run_sheet(read_lesson(ready_lessons()["demo"]))
    timeline = Timeline(sheet, voice=HummingVoice(), tones=load_tones())
    calls = {call.kind: call for call in reversed(sheet.calls)}
    return {kind: timeline.segment(call) for kind, call in calls.items()}


def heard(segment: Segment) -> list[tuple[float, float]]:
    """Return the stretches of sound in frames, silences shorter than a fifth of a second left out."""
    sound = segment.render(0, segment.length, beat=False)
    blocks = sound[: sound.size // 240 * 240].reshape(-1, 240)
    loud = np.flatnonzero(np.sqrt((blocks.astype(float) ** 2).mean(axis=1)) > 1e-3)
    ends = np.flatnonzero(np.diff(loud) > RATE / 240 / 5)
    starts, stops = loud[[0, *(ends + 1)]], loud[[*ends, -1]] + 1
    return [(a * 240 / FRAME, b * 240 / FRAME) for a, b in zip(starts, stops, strict=True)]


def films(segment: Segment, theme: Theme, frames: int) -> NDArray[np.uint8]:
    """Return pictures as the window and the videos have them, thirty a second, by their changes alone."""
    raster = Raster(WIDTH, HEIGHT)
    found = []
    for frame in range(frames):
        raster.draw_changes(picture_of(segment.layout, frame * FRAME), theme)
        found.append(raster.pixels[..., :3].copy())
    return np.array(found)


def seen(film: NDArray[np.uint8], bare: NDArray[np.uint8]) -> list[int]:
    """Return the frames in which the lowest two rows at the left edge are not as `bare` has them."""
    corner = film[:, -2:, :8].astype(int) - bare[-2:, :8]
    return [int(frame) for frame in np.flatnonzero(np.abs(corner).mean(axis=(1, 2, 3)) > 40)]


@pytest.mark.parametrize("theme", [LIGHT, DARK, CONTRAST, DIAL], ids=lambda theme: theme.name)
@pytest.mark.parametrize("kind", ["welcome", "ready", "time-up"])
def test_the_cloth_is_up_while_the_tone_sounds_and_gone_when_the_words_begin(
    segments: dict[str, Segment], kind: str, theme: Theme
) -> None:
    segment = segments[kind]
    (tone_from, tone_to), *words = heard(segment)
    words_from = words[0][0] if words else segment.length / FRAME
    film = films(segment, theme, min(round(words_from) + 8, segment.length // FRAME))
    bare = Raster(WIDTH, HEIGHT).draw(Scene(board=segment.call.board), theme)[..., :3]
    frames = seen(film, bare)
    assert frames == list(range(frames[0], frames[-1] + 1))  # it never blinks
    assert abs(frames[0] - tone_from) <= 2
    assert tone_to - 1 <= frames[-1] <= words_from + 1
    levels = film.astype(float).mean(axis=-1)[:, -18:, :].reshape(len(film), -1)
    steps = np.diff(levels, axis=0)
    turns = ((steps[:-1] * steps[1:] < 0) & (np.abs(steps[1:]) > 25)).sum(axis=0)
    assert np.median(turns) <= 2


@pytest.mark.parametrize("kind", ["choices", "decide", "move", "answer", "catch-up"])
def test_no_other_tone_and_no_word_raises_it(segments: dict[str, Segment], kind: str) -> None:
    segment = segments[kind]
    film = films(segment, LIGHT, min(150, segment.length // FRAME))
    bare = Raster(WIDTH, HEIGHT).draw(Scene(board=segment.call.board), LIGHT)[..., :3]
    assert seen(film, bare) == []


@pytest.mark.parametrize("theme", THEMES.values(), ids=lambda theme: theme.name)
def test_the_last_row_tells_the_three_drawings_apart(theme: Theme) -> None:
    """At 20 m from a picture 1.7 m high, by an eye of 20/40, all three are blurred and still unlike."""
    width, height = 960, 540
    foot = places(CLOCK, width, height).foot
    drawn = {}
    for signal in SIGNALS:
        raster = Raster(width, height)
        draw_cloth(raster.canvas, RaisedSignal(signal=signal, up=1.0), foot, theme=theme)
        middle = raster.pixels[-round(foot.height) :, width // 2 - 60 : width // 2 + 60, :3]
        drawn[signal] = as_seen(middle, blur_px(height, image_height_m=1.7, distance_m=20.0)).astype(float)
    cloth = np.array([theme.notice >> shift & 0xFF for shift in (0, 8, 16)])
    for one, other in pairwise((*SIGNALS, SIGNALS[0])):
        assert (np.abs(drawn[one] - cloth).mean(axis=-1) > 100).mean() > 0.08
        assert (np.abs(drawn[one] - drawn[other]).mean(axis=-1) > 100).mean() > 0.08

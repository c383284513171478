"""Every word and every figure stands out from what is behind it, on the pictures as they are drawn.

Text at 7:1 and shapes at 3:1 (WCAG 2.2, success criteria 1.4.6 and 1.4.11), by the criteria's own formula.
What is behind a word is looked at on the same picture drawn without words, and behind a figure on one without
figures. Words of a lane that has stepped back are greyed on purpose, as what is inactive may be.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation

from caller.export.programme import Programme
from caller.lesson.library import read_lesson, ready_lessons
from caller.runsheet import RunSheet
from caller.runsheet.sequence import make_run_sheet
from caller.screen import stage, text
from caller.screen.figures_on_stage import Performer, draw_performer, figure_colours
from caller.screen.scene import RaisedSignal, Scene
from caller.screen.skia_door import skia
from caller.screen.theme import CONTRAST, DARK, DIAL, LIGHT, Theme
from tests.screen.boards import BOARDS

Levels = NDArray[np.float64]
Pixels = NDArray[np.uint8]

WIDTH, HEIGHT = 640, 360
TEXT, SHAPES = 7.0, 3.0
FEW = 0.1  # of a figure's outline: where a foot crosses the line of its own mat
FRAMES_HZ = 30  # as exported
LEVEL = np.arange(256) / 255.0
LINEAR = np.where(LEVEL <= 0.04045, LEVEL / 12.92, ((LEVEL + 0.055) / 1.055) ** 2.4)


def luminance(pixels: NDArray[Any]) -> Levels:
    """Relative luminance of sRGB from 0 to 255, channels last: blue, green, red, opacity."""
    found: Levels = LINEAR[pixels[..., :3]] @ np.array([0.0722, 0.7152, 0.2126])
    return found


def ratio(one: Levels | float, other: Levels | float) -> Levels:
    found: Levels = (np.maximum(one, other) + 0.05) / (np.minimum(one, other) + 0.05)
    return found


def of_colour(colour: int) -> float:
    return float(luminance(np.array([colour >> shift & 0xFF for shift in (0, 8, 16)])))


def drawn(scene: Scene, theme: Theme) -> Pixels:
    surface = skia.Surface(WIDTH, HEIGHT)
    stage.draw_scene(surface.getCanvas(), scene, width=WIDTH, height=HEIGHT, theme=theme)
    return np.asarray(surface.toarray())


def words_too_faint(scene: Scene, theme: Theme, monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, float]]:
    """Return the lines of words that stand under 7:1 on anything behind them, and how they stand."""
    lines: list[tuple[str, dict[str, Any]]] = []

    def noted(canvas: skia.Canvas, line: str, **how: Any) -> None:
        lines.append((line, how))

    stage.standing_parts.cache_clear()  # it holds words
    with monkeypatch.context() as patch:
        patch.setattr(text, "draw_line", noted)
        behind = drawn(scene, theme)
    stage.standing_parts.cache_clear()  # it holds none
    faint = []
    for line, how in lines:
        if line.isdigit() or how["colour"] not in (theme.ink, theme.quiet):
            continue
        wide, size = text.width_of(line, how["size"], how.get("bold", False)), how["size"]
        x, foot = how["x"], how["baseline"]
        left = x - {"left": 0.0, "centre": 0.5, "right": 1.0}[how.get("align", "centre")] * wide
        patch_of = behind[
            max(0, round(foot - 0.7 * size)) : round(foot), max(0, round(left)) : round(left + wide)
        ]
        least = float(ratio(luminance(patch_of), of_colour(how["colour"])).min())
        if least < TEXT:
            faint.append((line, least))
    return faint


def figures_too_faint(scene: Scene, theme: Theme, monkeypatch: pytest.MonkeyPatch) -> float:
    """Return the share of the figures' outlines that stands under 3:1 on what is behind it."""

    def none(canvas: skia.Canvas, performer: Performer, theme: Theme) -> None:
        pass

    def at_the_front(canvas: skia.Canvas, performer: Performer, theme: Theme) -> None:
        if performer.opacity == 1.0:
            draw_performer(canvas, performer, theme)

    pictures = []
    for draw in (none, at_the_front):
        with monkeypatch.context() as patch:
            patch.setattr("caller.screen.stage.draw_performer", draw)
            pictures.append(drawn(scene, theme))
    behind, with_figures = pictures
    changed = (with_figures.view(np.uint32) != behind.view(np.uint32))[..., 0]
    rows, columns = (np.flatnonzero(changed.any(axis=axis)) for axis in (1, 0))
    if not rows.size:
        return 0.0
    near = (slice(max(0, rows[0] - 1), rows[-1] + 2), slice(max(0, columns[0] - 1), columns[-1] + 2))
    ground = luminance(behind[near])
    shown = np.abs(luminance(with_figures[near]) - ground) > 0.02
    rim = binary_dilation(shown) & ~shown
    if not rim.any():
        return 0.0
    return float((ratio(ground[rim], of_colour(figure_colours(theme).outline)) < SHAPES).mean())


def check(scene: Scene, theme: Theme, monkeypatch: pytest.MonkeyPatch) -> None:
    assert not words_too_faint(scene, theme, monkeypatch)
    assert figures_too_faint(scene, theme, monkeypatch) <= FEW, scene.board


@pytest.mark.parametrize("theme", [LIGHT, DARK, CONTRAST], ids=lambda theme: theme.name)
@pytest.mark.parametrize("name", BOARDS)
def test_words_and_figures_stand_out_on_every_kind_of_picture(
    name: str, theme: Theme, monkeypatch: pytest.MonkeyPatch
) -> None:
    check(Scene(board=BOARDS[name], caption="It is twenty to five.", move_s=0.4), theme, monkeypatch)


@pytest.mark.parametrize("up", [0.25, 1.0])
@pytest.mark.parametrize("theme", [LIGHT, DARK, CONTRAST], ids=lambda theme: theme.name)
@pytest.mark.parametrize("name", ["clock", "title"])
def test_no_word_lies_half_under_a_signal(
    name: str, theme: Theme, up: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    raised = RaisedSignal(signal="time-up", up=up)
    scene = Scene(board=BOARDS[name], caption="It is twenty to five.", doing="still", raised=raised)
    check(scene, theme, monkeypatch)


@pytest.mark.parametrize("theme", [LIGHT, DARK, CONTRAST], ids=lambda theme: theme.name)
def test_the_child_of_each_safety_point_stands_out(theme: Theme, monkeypatch: pytest.MonkeyPatch) -> None:
    """One kneels on the edge of its patch of floor, another sits before it."""
    calls = make_run_sheet(read_lesson(ready_lessons()["demo"])).calls
    (board,) = {call.board for call in calls if call.board.layout == "points" and call.board.pictures}
    for point in board.points:
        check(Scene(board=board, caption=point, doing="still"), theme, monkeypatch)


def frames(programme: Programme) -> Iterator[Scene]:
    """Yield every different picture of a lesson."""
    seen: set[Scene] = set()
    for sample in range(0, programme.length, 48_000 // FRAMES_HZ):
        scene = programme.scene(sample)
        if scene not in seen:
            yield scene
        seen.add(scene)


@pytest.mark.nightly
@pytest.mark.timeout(1800)
@pytest.mark.parametrize(
    ("name", "theme"),
    [("demo", LIGHT), ("harbour", DARK), ("quarters", CONTRAST), ("hours", DIAL)],
    ids=lambda value: getattr(value, "name", value),
)
def test_words_and_figures_stand_out_throughout_a_lesson(
    name: str,
    theme: Theme,
    programme_of: Callable[[RunSheet], Programme],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for scene in frames(programme_of(make_run_sheet(read_lesson(ready_lessons()[name])))):
        check(scene, theme, monkeypatch)

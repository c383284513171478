"""Whole pictures, read back from their pixels."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.clock import ClockTime
from caller.clock.said_and_shown import GhostDial, HourSector, MinuteCount
from caller.runsheet import Board, Dial
from caller.screen import Rect, text
from caller.screen.figures_on_stage import ink
from caller.screen.layout import places
from caller.screen.scene import ActiveCue, RaisedSignal, Scene
from caller.screen.skia_door import skia
from caller.screen.stage import draw_scene, performers, standing_parts
from caller.screen.theme import DARK, LIGHT, THEMES, Theme
from tests.reference.dial_reader import read_dial
from tests.screen.boards import BOARDS, CLOCK, SIZES

LONG = "Donaudampfschifffahrtsgesellschaftskapitänsmützenabzeichen and more words than one line can hold"
BUSY = Scene(
    board=CLOCK,
    caption="Swapping the two hands gives twenty past eight.",
    cues=(
        ActiveCue(cue=HourSector(4, lit=4), progress=1.0),
        ActiveCue(cue=MinuteCount("past", 40, tuple((n, n) for n in range(5, 41, 5))), progress=0.6),
        ActiveCue(cue=GhostDial(ClockTime(8, 22)), progress=1.0),
    ),
    point_to="right",
    count=7,
    think_s=12.0,
    left_s=3.2,
    move_s=1.4,
    notice="No sound: read the words aloud",
)


def drawn(scene: Scene, width: int = 960, height: int = 540, theme: Theme = LIGHT) -> NDArray[np.uint8]:
    surface = skia.Surface(width, height)
    draw_scene(surface.getCanvas(), scene, width=width, height=height, theme=theme)
    return np.asarray(surface.toarray())


def cut(pixels: NDArray[np.uint8], room: Rect) -> NDArray[np.uint8]:
    return pixels[round(room.y) : round(room.bottom), round(room.x) : round(room.right)]


def share_of(pixels: NDArray[np.uint8], colour: int) -> float:
    rgb = [colour & 0xFF, colour >> 8 & 0xFF, colour >> 16 & 0xFF]
    return float((pixels[..., :3] == rgb).all(axis=2).mean())


def hall_share(pixels: NDArray[np.uint8], theme: Theme) -> float:
    """Return how much of a picture shows the bare hall: wall, skirting, floor, or a seam's soft edge."""
    bgr = pixels[..., :3].astype(int)
    bare = np.zeros(bgr.shape[:2], bool)
    for colour in (theme.background, theme.skirting):
        bare |= (bgr == [colour & 0xFF, colour >> 8 & 0xFF, colour >> 16 & 0xFF]).all(axis=2)
    ends = [[theme.floor >> shift & 0xFF, theme.seam >> shift & 0xFF] for shift in (0, 8, 16)]
    low, high = np.min(ends, axis=1), np.max(ends, axis=1)
    bare |= ((bgr >= low - 1) & (bgr <= high + 1)).all(axis=2)
    # Where wall, skirting and floor meet between two rows of pixels.
    mixed = [[c >> s & 0xFF for c in (theme.background, theme.skirting, theme.floor)] for s in (0, 8, 16)]
    low, high = np.min(mixed, axis=1), np.max(mixed, axis=1)
    row = ((bgr >= low - 1) & (bgr <= high + 1)).all(axis=2)
    return float((bare | row).mean())


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
@pytest.mark.parametrize(("width", "height"), SIZES)
@pytest.mark.parametrize("name", BOARDS)
def test_every_board_fills_every_size_and_leaves_its_edge_clear(
    name: str, width: int, height: int, theme: Theme
) -> None:
    pixels = drawn(replace(BUSY, board=BOARDS[name], think_s=None), width, height, theme)
    assert (pixels[..., 3] == 255).all()
    for edge in (pixels[0], pixels[-1], pixels[:, 0], pixels[:, -1]):
        assert hall_share(edge[None], theme) == 1.0  # nothing is cut off
    assert hall_share(pixels, theme) < 0.97


@pytest.mark.parametrize(("width", "height"), SIZES)
@pytest.mark.parametrize("name", BOARDS)
def test_a_signal_covers_no_dial_no_figure_and_no_reading(name: str, width: int, height: int) -> None:
    scene = replace(BUSY, board=BOARDS[name], think_s=None, left_s=0.0, caption="", count=None)
    raised = replace(scene, raised=RaisedSignal(signal="attention", up=1.0))
    rows = np.flatnonzero((drawn(scene, width, height) != drawn(raised, width, height)).any(axis=(1, 2)))
    placed = places(scene.board, width, height)
    assert rows[0] >= placed.foot.y - 1
    for dial in placed.middle.dials:
        assert dial.label.bottom <= rows[0] + 1
    for performer in performers(scene, width, height):
        place = ink(performer, LIGHT)
        assert place.bottom <= rows[0] + 1
    for lane in placed.lanes.values():
        assert lane.bottom <= rows[0] + 1


def test_the_dial_on_the_stage_can_be_read() -> None:
    for time in (ClockTime(4, 40), ClockTime(12, 5), ClockTime(9, 57)):
        board = replace(CLOCK, dials=(Dial(time=time),))
        (x, y), radius = (p := places(board, 1280, 720).middle.dials[0]).centre, p.radius
        room = Rect(x=x - 1.02 * radius, y=y - 1.02 * radius, width=2.04 * radius, height=2.04 * radius)
        assert read_dial(cut(drawn(Scene(board=board), 1280, 720), room)).time == (time.hour, time.minute)


def test_the_same_scene_is_the_same_picture() -> None:
    assert (drawn(BUSY) == drawn(BUSY)).all()


@pytest.mark.parametrize("left_s", [12.0, 9.0, 6.0, 3.0, 0.0])
def test_a_bead_lies_on_the_floor_for_every_second_that_is_left(left_s: float) -> None:
    pixels = drawn(Scene(board=CLOCK, think_s=12.0, left_s=left_s), 1920, 1080)
    beads = cut(pixels, places(CLOCK, 1920, 1080).beads)
    rgb = [LIGHT.strip & 0xFF, LIGHT.strip >> 8 & 0xFF, LIGHT.strip >> 16 & 0xFF]
    columns = (beads[..., :3] == rgb).all(axis=2).any(axis=0)
    assert int((columns & ~np.roll(columns, 1)).sum()) == left_s


def test_there_are_no_beads_when_nobody_has_to_think() -> None:
    assert share_of(cut(drawn(Scene(board=CLOCK)), places(CLOCK, 960, 540).beads), LIGHT.strip) == 0.0


def test_only_the_last_five_seconds_are_numbered_and_each_looks_different() -> None:
    room = places(CLOCK, 960, 540).caption
    seen = [cut(drawn(Scene(board=CLOCK, think_s=12.0, left_s=s)), room).tobytes() for s in (12, 5.1, 0)]
    assert len(set(seen)) == 1
    numbers = [
        cut(drawn(Scene(board=CLOCK, think_s=12.0, left_s=s)), room) for s in (5.0, 4.0, 3.0, 2.0, 1.0)
    ]
    assert len({number.tobytes() for number in numbers}) == 5
    for number in numbers:
        rows = np.flatnonzero((number[..., 1] < 128).any(axis=1))
        assert rows[-1] - rows[0] > 0.75 * room.height


def test_the_answer_stands_in_the_light_and_the_other_lane_steps_back() -> None:
    asked, answered = drawn(Scene(board=CLOCK)), drawn(Scene(board=BOARDS["answered"]))
    assert share_of(asked, LIGHT.light) == 0.0
    assert share_of(cut(answered, places(CLOCK, 960, 540).lanes["left"]), LIGHT.light) > 0.02
    right = places(CLOCK, 960, 540).lanes["right"]
    assert share_of(cut(answered, right), LIGHT.light) == 0.0
    assert share_of(cut(asked, right), LIGHT.ink) > 0.02
    assert share_of(cut(answered, right), LIGHT.ink) == 0.0


def test_a_lane_being_explained_does_not_step_back() -> None:
    right = places(CLOCK, 960, 540).lanes["right"]
    explained = drawn(Scene(board=BOARDS["answered"], point_to="right"))
    assert share_of(cut(explained, right), LIGHT.ink) > 0.02


def test_the_lane_talked_about_has_a_heavier_edge() -> None:
    left = places(CLOCK, 960, 540).lanes["left"]
    edges = [
        share_of(cut(drawn(Scene(board=CLOCK, point_to=side)), left), LIGHT.left.edge)
        for side in (None, "right", "left")
    ]
    assert edges[0] == edges[1]
    assert edges[2] > 1.6 * edges[0]


def test_figures_move_and_nothing_else_does() -> None:
    first, later = (drawn(Scene(board=CLOCK, move_s=s)) for s in (0.0, 0.4))
    changed = (first != later).any(axis=2)
    assert changed.any()
    placed = places(CLOCK, 960, 540)
    for lane in placed.lanes.values():
        changed[round(lane.y) : round(lane.bottom), round(lane.x) : round(lane.right)] = False
    assert not changed.any()


def test_cues_are_drawn_on_the_last_of_two_dials() -> None:
    board = BOARDS["two dials"]
    cue = ActiveCue(cue=HourSector(4, lit=4), progress=1.0)
    changed = (drawn(Scene(board=board)) != drawn(Scene(board=board, cues=(cue,)))).any(axis=2)
    first, second = (place.centre for place in places(board, 960, 540).middle.dials)
    columns = changed.any(axis=0).nonzero()[0]
    assert abs(columns.mean() - second[0]) < abs(columns.mean() - first[0])


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_words_too_long_for_their_place_get_smaller_and_stay_inside(width: int, height: int) -> None:
    lanes = tuple(replace(lane, words=LONG, move_name=LONG) for lane in CLOCK.lanes)
    board = replace(CLOCK, title=LONG, lanes=lanes, asked=LONG, asked_words=LONG, progress="3 of 10")
    pixels = drawn(Scene(board=board, caption=LONG, notice=LONG), width, height)
    placed = places(board, width, height)
    for edge in (pixels[0], pixels[-1], pixels[:, 0], pixels[:, -1]):
        assert hall_share(edge[None], LIGHT) == 1.0
    # Between the lanes and the middle there is still a clear line from top to bottom.
    left = placed.lanes["left"]
    gap = pixels[round(left.y) + 20 : round(left.bottom) - 20, round(left.right) + 2 : round(left.right) + 4]
    assert placed.stacked or hall_share(gap, LIGHT) == 1.0


def test_points_share_one_size_and_stay_inside_however_many_there_are() -> None:
    board = Board(layout="points", title="Keep safe", points=(LONG,) * 9, move="march", move_name="march")
    pixels = drawn(Scene(board=board), 1024, 768)
    words = places(board, 1024, 768).words
    assert words is not None
    below = pixels[round(words.bottom) : round(places(board, 1024, 768).caption.y), : round(words.right)]
    assert hall_share(below, LIGHT) == 1.0


def test_the_theme_for_weak_eyes_shows_the_dial_of_a_choice_alone_and_larger() -> None:
    pixels = drawn(Scene(board=CLOCK, caption="What time is it?"), 960, 540, THEMES["dial"])
    alone = places(replace(CLOCK, lanes=(), title="", progress=""), 960, 540).middle.dials[0]
    assert alone.radius >= places(CLOCK, 960, 540).middle.dials[0].radius
    (x, y), radius = alone.centre, alone.radius
    room = Rect(x=x - 1.02 * radius, y=y - 1.02 * radius, width=2.04 * radius, height=2.04 * radius)
    assert read_dial(cut(pixels, room)).time == (4, 40)
    assert hall_share(pixels[: round(y), : round(x - 1.1 * radius)], THEMES["dial"]) == 1.0


def written(monkeypatch: pytest.MonkeyPatch, scene: Scene) -> dict[str, float]:
    """Return the lines drawn on a picture of a scene, and the height of their capitals, in pixels."""
    lines: dict[str, float] = {}
    write = text.draw_line

    def noted(canvas: skia.Canvas, line: str, **how: Any) -> None:
        lines[line] = how["size"] * CAPITAL
        write(canvas, line, **how)

    standing_parts.cache_clear()
    with monkeypatch.context() as patch:
        patch.setattr(text, "draw_line", noted)
        draw_scene(skia.Surface(1920, 1080).getCanvas(), scene, width=1920, height=1080, theme=LIGHT)
    standing_parts.cache_clear()
    return lines


# A picture 1.8 m high, 15 m away: 16 minutes of arc (ISO 9241-3). Lexend's capitals are 0.7 of its size.
CAPITAL = 0.7
LEAST_PX = 15_000 * math.tan(math.radians(16 / 60)) * 1080 / 1800


def test_the_names_of_the_moves_can_be_read_from_the_last_row_while_a_class_decides_and_moves(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for doing in ("still", "move"):
        scene = Scene(board=CLOCK, think_s=10.0, left_s=8.0, doing=doing)
        lines = written(monkeypatch, scene)
        assert lines["star jumps"] >= LEAST_PX
        assert lines["squats"] == lines["star jumps"]
    long = Scene(board=CLOCK, caption="On the left it is twenty minutes to five o'clock. Do star jumps.")
    assert "star jumps" not in written(monkeypatch, long)


def test_of_the_safety_points_the_one_being_said_stands_alone_large_and_is_not_said_twice(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    points = ("Look round: is there room to stretch?", "Shoes on, laces tied.")
    board = Board(
        layout="points", title="Keep safe", points=points, pictures=("sky-reach", "march"), move="march"
    )
    for said, other in (points, points[::-1]):
        lines = written(monkeypatch, Scene(board=board, caption=said))
        assert " ".join(lines) == said
        assert min(lines.values()) >= 1.25 * LEAST_PX
        assert not any(part in other for part in lines)

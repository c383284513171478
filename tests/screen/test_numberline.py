"""The number line holds each jump in order, its words apart, and the hands come to where it ends."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.clock import ClockTime
from caller.clock.said_and_shown import TimeJump
from caller.runsheet import Board, Dial, LineJump
from caller.screen import Rect
from caller.screen.beside_dial import places_on_line
from caller.screen.cues import draw_hands_and_cues
from caller.screen.dial import draw_face
from caller.screen.raster import Raster, changed
from caller.screen.scene import ActiveCue, Scene
from caller.screen.skia_door import skia
from caller.screen.theme import LIGHT
from tests.reference.dial_reader import read_dial

_ROOM = Rect(x=100.0, y=50.0, width=800.0, height=200.0)


def _jumps(minutes: list[int], *, back: bool = False) -> tuple[LineJump, ...]:
    return tuple(LineJump(minutes=each, back=back, length="5 min", begins="", ends="") for each in minutes)


@given(st.lists(st.integers(1, 720), min_size=1, max_size=3), st.booleans())
def test_times_stand_in_the_order_of_the_clock_and_each_jump_has_room(minutes: list[int], back: bool) -> None:
    places = places_on_line(_jumps(minutes, back=back), _ROOM)
    way = -1 if back else 1
    widths = [way * (after - before) for before, after in itertools.pairwise(places)]
    assert min(widths) > 0.15 * _ROOM.width
    assert all(_ROOM.x < place < _ROOM.right for place in places)
    for (one, wide), (other, wider) in itertools.combinations(zip(minutes, widths, strict=True), 2):
        assert (one - other) * (wide - wider) >= -1e-6


@pytest.mark.parametrize(
    ("start", "minutes", "end"),
    [((8, 25), 35, (9, 0)), ((9, 0), 120, (11, 0)), ((1, 10), -10, (1, 0)), ((12, 50), 35, (1, 25))],
)
def test_an_outside_reader_sees_the_hands_set_out_and_arrive(
    start: tuple[int, int], minutes: int, end: tuple[int, int]
) -> None:
    for progress, expected in ((0.0, start), (1.0, end)):
        surface = skia.Surface(400, 400)
        canvas = surface.getCanvas()
        canvas.clear(LIGHT.background)
        jump = ActiveCue(cue=TimeJump(ClockTime(*start), minutes, 0), progress=progress)
        draw_face(canvas, centre=(200, 200), radius=170, theme=LIGHT)
        time = ClockTime(*end)
        draw_hands_and_cues(canvas, time, [jump], centre=(200, 200), radius=170, theme=LIGHT)
        assert read_dial(np.asarray(surface.toarray())).time == expected


def test_a_jump_made_stays_and_only_the_line_and_the_dial_change() -> None:
    jumps = (
        LineJump(minutes=35, length="35 min", begins="8:25", ends="9:00"),
        LineJump(minutes=10, length="10 min", begins="9:00", ends="9:10"),
    )
    clock = Dial(time=ClockTime(8, 25))
    board = Board(layout="clock", dials=(clock, clock), jumps=jumps)
    first, second = TimeJump(ClockTime(8, 25), 35, 0), TimeJump(ClockTime(9, 0), 10, 1)
    empty = Scene(board=board)
    half = Scene(board=board, cues=(ActiveCue(cue=first, progress=1.0),))
    whole = replace(half, cues=(*half.cues, ActiveCue(cue=second, progress=1.0)))
    raster = Raster(960, 540)
    pictures = [raster.draw(scene, LIGHT).copy() for scene in (empty, half, whole, half)]
    assert (pictures[1] == pictures[3]).all()
    scenes = (empty, half, whole)
    for (before, after), (one, other) in zip(
        itertools.pairwise(scenes), itertools.pairwise(pictures[:3]), strict=True
    ):
        differs = (one != other).any(axis=2)
        assert differs.any()
        for left, top, right, bottom in changed(before, after, 960, 540, LIGHT):
            differs[top:bottom, left:right] = False
        assert not differs.any()

"""Figures keep inside their rooms, at one size."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.clock import ClockTime
from caller.moves.poses import ANIMATIONS, STANCES
from caller.screen import Rect
from caller.screen.figure import LOOKS
from caller.screen.figures_on_stage import (
    STEPS,
    FigureDoing,
    Performer,
    alone,
    cast_of,
    common_height,
    draw_performer,
    extent,
    ink,
    look_for,
)
from caller.screen.skia_door import skia
from caller.screen.theme import LIGHT

SEATED = [what for what, moving in {**ANIMATIONS, **STANCES}.items() if moving.seated]
ROOM = Rect(x=40.0, y=40.0, width=140.0, height=180.0)


def performer(doing: FigureDoing, step: int, number: int = 0, opacity: float = 1.0) -> Performer:
    return replace(alone(doing, ROOM, look=look_for(number), step=step), opacity=opacity)


def alpha_of(figure: Performer) -> NDArray[np.uint8]:
    surface = skia.Surface(220, 260)
    draw_performer(surface.getCanvas(), figure, LIGHT)
    return np.asarray(surface.toarray())[..., 3].copy()


def stray_ink(doing: FigureDoing, step: int, number: int) -> int:
    alpha = alpha_of(performer(doing, step, number))
    alpha[40:220, 40:180] = 0
    return int((alpha > 100).sum())


@pytest.mark.parametrize("slug", ANIMATIONS)
@pytest.mark.parametrize("opacity", [1.0, 0.5])
def test_a_figure_is_drawn_on_its_ink_and_nowhere_else(slug: str, opacity: float) -> None:
    for step in range(0, STEPS, STEPS // 16):
        figure = performer(FigureDoing(what=slug), step, step // (STEPS // 16) % 3, opacity)
        place, alpha = ink(figure, LIGHT), alpha_of(figure)
        rows, columns = np.nonzero(alpha)
        top, bottom, left, right = rows.min(), rows.max() + 1, columns.min(), columns.max() + 1
        # A pixel that is touched counts whole, and edges are soft for another.
        stray = (place.x - left, right - place.right, place.y - top, bottom - place.bottom)
        assert max(stray) < 2, step
        drawn = (right - left) * (bottom - top)
        assert drawn > 0.6 * place.width * place.height, step


@pytest.mark.parametrize("slug", ANIMATIONS)
def test_no_move_leaves_its_room_at_any_moment(slug: str) -> None:
    doing = FigureDoing(what=slug)
    assert [
        step for step in range(0, STEPS, STEPS // 24) if stray_ink(doing, step, step // (STEPS // 24) % 3)
    ] == []


@pytest.mark.parametrize("time", [ClockTime(12, 0), ClockTime(3, 15), ClockTime(6, 30), ClockTime(8, 45)])
def test_no_clock_made_with_arms_leaves_its_room(time: ClockTime) -> None:
    assert stray_ink(FigureDoing(what=time), 0, 0) == 0


def test_two_figures_are_drawn_at_the_size_that_suits_both() -> None:
    star, squat = FigureDoing(what="star-jumps"), FigureDoing(what="squats")
    both = common_height([(star, ROOM), (squat, ROOM)])
    assert both == min(common_height([(star, ROOM)]), common_height([(squat, ROOM)]))


def test_a_loop_comes_round() -> None:
    march = FigureDoing(what="march")
    steps = [march.step_at(n / 100) for n in range(1000)]
    assert set(range(STEPS)) >= set(steps)
    assert steps.count(steps[0]) > 1


def test_arms_that_make_a_time_hold_still() -> None:
    assert {FigureDoing(what=ClockTime(4, 40)).step_at(s) for s in (0.0, 1.3, 9.9)} == {0}


def test_an_extent_reaches_at_least_the_standing_height() -> None:
    assert extent(FigureDoing(what="plank-hold")).up >= 1.0


def test_a_round_keeps_its_children_and_a_wheelchair_is_only_where_all_sit() -> None:
    first = cast_of("4:40", "squats")
    assert first == cast_of("4:40", "squats")
    assert len({cast_of(f"{hour}:00", "squats") % len(LOOKS) for hour in range(1, 13)}) > 3
    assert not any(look_for(number).wheelchair for number in range(50))
    assert any(look_for(number, seated=True).wheelchair for number in range(len(LOOKS)))
    for number in range(20):
        assert look_for(number) != look_for(number + 1) != look_for(number + 2)


@pytest.mark.parametrize("what", SEATED)
def test_a_wheelchair_stays_inside_a_narrow_room(what: str) -> None:
    doing = FigureDoing(what=what)
    for step in range(0, STEPS, STEPS // 8):
        drawn = ink(alone(doing, ROOM, look=LOOKS[-1], step=step), LIGHT)
        assert ROOM.x - 0.5 <= drawn.x
        assert drawn.right <= ROOM.right + 0.5


def test_who_sits_is_as_large_as_sitting_allows_and_a_wheelchair_stays_inside() -> None:
    room = Rect(x=0.0, y=0.0, width=400.0, height=200.0)
    doing = FigureDoing(what="seated-march")
    for look in LOOKS:
        sitting = alone(doing, room, look=look)
        drawn = ink(sitting, LIGHT)
        assert sitting.height > 1.05 * room.height
        assert drawn.x >= room.x
        assert drawn.y >= room.y - 1.0

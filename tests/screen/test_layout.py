"""Where everything goes: nothing overlaps, and nothing leaves the picture, at any size."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caller.runsheet import Board
from caller.screen import Rect
from caller.screen.cues import REACH_X, REACH_Y
from caller.screen.layout import DialPlace, Places, places
from tests.screen.boards import BOARDS, CLOCK

HAIR = 0.51  # of a pixel: sums of fractions


def dial_room(place: DialPlace) -> Rect:
    (x, y), radius = place.centre, place.radius
    return Rect(
        x=x - REACH_X * radius,
        y=y - REACH_Y * radius,
        width=2 * REACH_X * radius,
        height=2 * REACH_Y * radius,
    )


def rooms(placed: Places) -> dict[str, Rect]:
    """Name every room that something may be drawn in, dials with their counted numbers."""
    found = {"caption": placed.caption, "beads": placed.beads}
    found |= {f"{side} lane": room for side, room in placed.lanes.items()}
    for n, place in enumerate(placed.middle.dials):
        found[f"dial {n}"] = dial_room(place)
        found[f"label {n}"] = place.label
    for name in ("words", "figure", "count"):
        if (room := getattr(placed, name)) is not None:
            found[name] = room
    for name in ("arrow", "asked", "sky"):
        if (room := getattr(placed.middle, name)) is not None:
            found[name] = room
    return found


def overlap(one: Rect, other: Rect) -> bool:
    across = min(one.right, other.right) - max(one.x, other.x)
    down = min(one.bottom, other.bottom) - max(one.y, other.y)
    return across > HAIR and down > HAIR


def faults(board: Board, width: int, height: int) -> list[str]:
    placed = places(board, width, height)
    found = rooms(placed)
    wrong = [
        f"{name} leaves the picture"
        for name, room in found.items()
        if room.x < -HAIR or room.y < -HAIR or room.right > width + HAIR or room.bottom > height + HAIR
    ]
    wrong += [
        f"{one} on {other}"
        for (one, first), (other, second) in combinations(found.items(), 2)
        if overlap(first, second)
    ]
    # A dial's corners are free, so the head line may share its box but not its circle.
    for head in (placed.title, placed.progress):
        wrong += [
            f"head on {name}" for name, room in found.items() if "dial" not in name and overlap(head, room)
        ]
        for place in placed.middle.dials:
            x = min(max(place.centre[0], head.x), head.right)
            y = min(max(place.centre[1], head.y), head.bottom)
            away = ((x - place.centre[0]) ** 2 + (y - place.centre[1]) ** 2) ** 0.5
            if away < 1.0 * place.radius:
                wrong.append("head on a dial")
    return wrong


@pytest.mark.parametrize("name", BOARDS)
@settings(max_examples=60)
@given(width=st.integers(640, 3840), height=st.integers(360, 2160))
def test_nothing_overlaps_and_nothing_leaves_the_picture(name: str, width: int, height: int) -> None:
    assert faults(BOARDS[name], width, height) == []


@pytest.mark.parametrize(("width", "height"), [(640, 360), (1920, 1080), (3840, 2160)])
def test_a_layout_is_the_same_picture_at_every_size(width: int, height: int) -> None:
    radius = places(CLOCK, width, height).middle.dials[0].radius
    assert radius / height == pytest.approx(places(CLOCK, 1920, 1080).middle.dials[0].radius / 1080)


def test_the_dial_takes_two_thirds_of_the_height_of_a_wide_picture() -> None:
    place = places(CLOCK, 1920, 1080).middle.dials[0]
    assert 2 * place.radius / 1080 > 0.65
    assert place.centre[0] == pytest.approx(960)


def test_lanes_are_as_large_as_each_other() -> None:
    for name in ("clock", "three lanes", "dials"):
        lanes = list(places(BOARDS[name], 1920, 1080).lanes.values())
        assert len({(round(lane.width, 6), round(lane.height, 6), lane.y) for lane in lanes}) == 1


def test_lanes_keep_their_sides_from_left_to_right() -> None:
    for width, height in ((1920, 1080), (1080, 1920)):
        lanes = places(BOARDS["three lanes"], width, height).lanes
        assert lanes["left"].right < lanes["middle"].x
        assert lanes["middle"].right < lanes["right"].x

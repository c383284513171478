"""Two lanes are told apart from the last row, in four kinds of colour vision, and with no colour at all.

Colour differences are CIEDE2000 after Sharma, Wu and Dalal 2005, whose first test pair is checked; colour
blindness is Machado, Oliveira and Fernandes 2009 at full severity (matrices from memory); likeness is the
structural similarity of Wang et al. 2004. That ten units of difference and 0.7 of likeness are enough is own
judgement.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from caller.clock import ClockTime
from caller.lesson.library import read_lesson, ready_lessons
from caller.runsheet import Board, Dial, Lane
from caller.runsheet.sequence import make_run_sheet
from caller.screen.lanes import lane_row
from caller.screen.layout import places
from caller.screen.scene import Scene
from caller.screen.skia_door import skia
from caller.screen.stage import draw_scene
from caller.screen.theme import CONTRAST, DARK, LIGHT, Theme

Colours = NDArray[np.float64]

# Likeness is taken at the scale its authors advise: a picture's smaller side near 256 pixels (from memory).
WIDTH, HEIGHT = 480, 270
BLUR_PX = 0.7 * 2.0 * HEIGHT / (np.degrees(2 * np.arctan(0.9 / 15.0)) * 60)  # 1.8 m high, 15 m away, 20/40
VISIONS = {
    "usual": np.eye(3),
    "protan": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deutan": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "tritan": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}
# IEC 61966-2-1, D65.
LEVEL = np.arange(256) / 255.0
LINEAR = np.where(LEVEL <= 0.04045, LEVEL / 12.92, ((LEVEL + 0.055) / 1.055) ** 2.4)
XYZ = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]],
)


def lab(linear: Colours) -> Colours:
    """CIE L*a*b* of linear sRGB, with the white of D65."""
    share = np.clip(linear @ XYZ.T / (XYZ @ np.ones(3)), 0, None)
    f = np.where(share > (6 / 29) ** 3, np.cbrt(share), share * (29 / 6) ** 2 / 3 + 4 / 29)
    return np.stack(
        [116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], axis=-1
    )


def lightness(linear: Colours) -> Colours:
    """The L* alone."""
    share = np.clip(linear @ (XYZ[1] / XYZ[1].sum()), 0, None)
    return np.asarray(
        116 * np.where(share > (6 / 29) ** 3, np.cbrt(share), share * (29 / 6) ** 2 / 3 + 4 / 29) - 16
    )


def ciede2000(one: Colours, other: Colours) -> float:
    (l1, a1, b1), (l2, a2, b2) = one, other
    mean_c = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2
    g = 0.5 * (1 - np.sqrt(mean_c**7 / (mean_c**7 + 25.0**7)))
    a1, a2 = a1 * (1 + g), a2 * (1 + g)
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360, np.degrees(np.arctan2(b2, a2)) % 360
    turn = (h2 - h1 + 180) % 360 - 180 if c1 * c2 else 0.0
    dl, dc, dh = l2 - l1, c2 - c1, 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2))
    mean_l, mean_c, mean_h = (l1 + l2) / 2, (c1 + c2) / 2, (h1 + turn / 2) % 360
    t = (
        1
        - 0.17 * np.cos(np.radians(mean_h - 30))
        + 0.24 * np.cos(np.radians(2 * mean_h))
        + 0.32 * np.cos(np.radians(3 * mean_h + 6))
        - 0.20 * np.cos(np.radians(4 * mean_h - 63))
    )
    sl = 1 + 0.015 * (mean_l - 50) ** 2 / np.sqrt(20 + (mean_l - 50) ** 2)
    sc, sh = 1 + 0.045 * mean_c, 1 + 0.015 * mean_c * t
    rt = (
        -2
        * np.sqrt(mean_c**7 / (mean_c**7 + 25.0**7))
        * np.sin(np.radians(60 * np.exp(-(((mean_h - 275) / 25) ** 2))))
    )
    return float(np.sqrt((dl / sl) ** 2 + (dc / sc) ** 2 + (dh / sh) ** 2 + rt * dc / sc * dh / sh))


def likeness(one: Colours, other: Colours) -> float:
    """Mean structural similarity of two grey pictures with a range of 100."""

    def mean(values: Colours) -> Colours:
        return np.asarray(gaussian_filter(values, 1.5))

    c1, c2 = (0.01 * 100) ** 2, (0.03 * 100) ** 2
    m1, m2 = mean(one), mean(other)
    v1, v2, both = mean(one**2) - m1**2, mean(other**2) - m2**2, mean(one * other) - m1 * m2
    return float((((2 * m1 * m2 + c1) * (2 * both + c2)) / ((m1**2 + m2**2 + c1) * (v1 + v2 + c2))).mean())


def test_the_formula_gives_the_published_difference() -> None:
    found = ciede2000(np.array([50.0, 2.6772, -79.7751]), np.array([50.0, 0.0, -82.7485]))
    assert found == pytest.approx(2.0425, abs=1e-4)


def board(left: tuple[str, str, str], right: tuple[str, str, str]) -> Board:
    lanes = [
        Lane(side=side, numeral=numeral, words=words, move=move, move_name=move)  # type: ignore[arg-type]
        for side, (numeral, words, move) in (("left", left), ("right", right))
    ]
    return Board(layout="clock", dials=(Dial(time=ClockTime(4, 40)),), lanes=tuple(lanes))


def alike(shown: Board, theme: Theme) -> list[str]:
    """Tell what is too much alike: fills, edges, or the structure of banners, mats and whole lanes."""
    found = []
    surface = skia.Surface(WIDTH, HEIGHT)
    draw_scene(surface.getCanvas(), Scene(board=shown), width=WIDTH, height=HEIGHT, theme=theme)
    linear = LINEAR[np.asarray(surface.toarray())[..., 2::-1]]
    seen = np.stack([gaussian_filter(linear[..., n], BLUR_PX) for n in range(3)], axis=-1)
    placed = places(shown, WIDTH, HEIGHT)
    unit = placed.unit
    parts = lane_row(shown.lanes, placed.lanes, unit)
    banners = [one.banner for one in parts]
    for name, matrix in VISIONS.items():
        # At the banner's left: its fill. The rail that it hangs from: its edge.
        for part, across, down in (("fill", 0.018 * unit, 0.03), ("edge", banners[0].width / 2, 0.006)):
            looked = []
            for room in banners:
                colour = seen[round(room.y + down * unit), round(room.x + across)]
                looked.append(lab(np.clip(colour @ np.array(matrix).T, 0, 1)))
            if (apart := ciede2000(*looked)) < 10:
                found.append(f"{part}, {name}: {apart:.1f}")
    light = lightness(seen)
    lanes = [placed.lanes[lane.side] for lane in shown.lanes]
    for part, rooms, most in (
        ("banners", banners, 0.7),
        ("mats", [one.mat for one in parts], 0.5),
        ("lanes", lanes, 0.7),
    ):
        tall, wide = round(max(room.height for room in rooms)), round(rooms[0].width)
        crops = [
            light[round(room.y) : round(room.y) + tall, round(room.x) : round(room.x) + wide]
            for room in rooms
        ]
        if (same := likeness(*crops)) > most:
            found.append(f"{part}: {same:.2f}")
    return found


def boards_of(*names: str) -> list[Board]:
    """Return the boards on which the lessons of these names let a class choose between two.

    Pictures whose lanes stand in the same places and hold the same are looked at once.
    """
    sheets = (make_run_sheet(read_lesson(ready_lessons()[name])) for name in names)
    boards = [
        call.board
        for sheet in sheets
        for call in sheet.calls
        if call.kind == "choices" and len(call.board.lanes) == 2
    ]
    kept = {}
    for shown in boards:
        where = tuple(places(shown, WIDTH, HEIGHT).lanes.values())
        kept[tuple(replace(lane, move_name="") for lane in shown.lanes), where, shown.numerals] = shown
    return list(kept.values())


@pytest.mark.parametrize("theme", [LIGHT, DARK, CONTRAST], ids=lambda theme: theme.name)
@pytest.mark.parametrize(
    "shown",
    [
        board(("4:40", "twenty to five", "star-jumps"), ("5:40", "twenty to six", "squats")),
        board(("3:00", "three o'clock", "march"), ("4:00", "four o'clock", "arm-circles")),
        board(("7:15", "quarter past seven", "sky-reach"), ("7:45", "quarter to eight", "star-jumps")),
    ],
)
def test_lanes_differ_in_fill_edge_and_structure(shown: Board, theme: Theme) -> None:
    assert alike(shown, theme) == []


def test_the_lanes_of_the_demo_differ() -> None:
    for shown in boards_of("demo"):
        assert alike(shown, LIGHT) == []


@pytest.fixture(scope="module")
def boards() -> list[Board]:
    """All choices of all ready lessons."""
    return boards_of(*ready_lessons())


@pytest.mark.nightly
@pytest.mark.timeout(1800)
@pytest.mark.parametrize("theme", [LIGHT, DARK, CONTRAST], ids=lambda theme: theme.name)
def test_the_lanes_of_every_ready_lesson_differ(boards: list[Board], theme: Theme) -> None:
    assert len(boards) > 200
    wrong = [(found, shown.lanes) for shown in boards if (found := alike(shown, theme))]
    assert wrong == []

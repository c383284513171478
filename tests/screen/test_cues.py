"""Cues on the dial: what they light, in which order, and that nothing flashes."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.clock import ClockTime
from caller.clock.said_and_shown import Cue, GhostDial, HandPulse, HourSector, MinuteCount, ShowReading
from caller.screen.cues import REACH_X, REACH_Y, come_to, draw_hands_and_cues, swell, written_numbers
from caller.screen.dial import NUMERAL_AT, draw_face, on_dial
from caller.screen.scene import ActiveCue
from caller.screen.skia_door import skia
from caller.screen.theme import LIGHT

SIZE, RADIUS = 500, 190.0
CENTRE = (SIZE / 2, SIZE / 2)
TIME = ClockTime(4, 43)
EVERY: tuple[Cue, ...] = (
    HourSector(4, lit=4),
    HourSector(4, lit=5),
    MinuteCount("past", 43, ((40, 40), (43, 3))),
    MinuteCount("past", 40, tuple((n, n) for n in range(5, 41, 5))),
    MinuteCount("to", 43, ((45, 15), (43, 2))),
    MinuteCount("past", 15),
    HandPulse("hour"),
    HandPulse("minute"),
    ShowReading(TIME, lit=5),
    GhostDial(ClockTime(8, 22)),
)


def drawn(*cues: tuple[Cue, float], time: ClockTime | None = TIME) -> NDArray[np.uint8]:
    surface = skia.Surface(SIZE, SIZE)
    canvas = surface.getCanvas()
    canvas.clear(LIGHT.background)
    draw_face(canvas, centre=CENTRE, radius=RADIUS, theme=LIGHT)
    active = [ActiveCue(cue=cue, progress=progress) for cue, progress in cues]
    draw_hands_and_cues(canvas, time, active, centre=CENTRE, radius=RADIUS, theme=LIGHT)
    return np.asarray(surface.toarray())


def at(pixels: NDArray[np.uint8], angle_deg: float, share: float) -> int:
    x, y = on_dial(CENTRE, RADIUS, angle_deg, share)
    blue, green, red, _ = (int(value) for value in pixels[int(y), int(x)])
    return 0xFF000000 | red << 16 | green << 8 | blue


@pytest.mark.parametrize("cue", EVERY, ids=repr)
def test_a_cue_changes_the_picture_and_then_stays(cue: Cue) -> None:
    before, done = drawn(), drawn((cue, 1.0))
    assert (before != done).any()
    assert (drawn((cue, 1.0)) == done).all()


@pytest.mark.parametrize("cue", EVERY, ids=repr)
def test_a_cue_that_has_come_no_further_is_the_same_picture(cue: Cue) -> None:
    pictures: dict[float, NDArray[np.uint8]] = {}
    stood = 0
    for step in range(61):
        how_far = come_to(ActiveCue(cue=cue, progress=step / 60))
        stood += how_far in pictures
        now = drawn((cue, step / 60))
        assert (pictures.setdefault(how_far, now) == now).all(), step
    assert stood > 10
    assert len(pictures) > 10


@pytest.mark.parametrize("cue", EVERY, ids=repr)
def test_a_cue_never_makes_the_dial_brighten_and_darken_again(cue: Cue) -> None:
    # A flash is a pair of opposing changes in luminance (WCAG 2.2, 2.3.1). The mean brightness of the
    # dial may only ever go one way; a count's moving number is allowed half a grey level.
    brightness = np.array([drawn((cue, step / 30)).mean() for step in range(31)])
    falls = np.minimum(np.diff(brightness), 0).sum()
    rises = np.maximum(np.diff(brightness), 0).sum()
    assert min(-falls, rises) < 0.5


@pytest.mark.parametrize("cue", EVERY, ids=repr)
def test_a_cue_swells_and_does_not_jump(cue: Cue) -> None:
    whole = np.abs(drawn((cue, 1.0)).astype(int) - drawn((cue, 0.0)).astype(int)).sum()
    for step in range(60):
        here, there = drawn((cue, step / 60)), drawn((cue, (step + 1) / 60))
        assert np.abs(here.astype(int) - there.astype(int)).sum() < 0.25 * whole


def test_swelling_is_smooth_and_ends_on_time() -> None:
    assert [swell(0.0), swell(0.2), swell(0.4), swell(1.0)] == [0.0, 0.5, 1.0, 1.0]


def test_the_sector_lies_between_the_hour_passed_and_the_next() -> None:
    pixels = drawn((HourSector(4, lit=4), 1.0))
    assert at(pixels, 146.0, 0.5) == LIGHT.light  # just before the five
    assert at(pixels, 124.0, 0.5) == LIGHT.light  # just after the four
    assert at(pixels, 155.0, 0.5) == LIGHT.face
    assert at(pixels, 115.0, 0.5) == LIGHT.face


def test_the_last_sector_runs_from_twelve_to_one() -> None:
    pixels = drawn((HourSector(12, lit=12), 1.0))
    assert at(pixels, 5.0, 0.4) == LIGHT.light
    assert at(pixels, 25.0, 0.4) == LIGHT.light
    assert at(pixels, 35.0, 0.4) == LIGHT.face


@pytest.mark.parametrize(
    ("count", "lit", "dark"),
    [
        (MinuteCount("past", 43, ((40, 40), (43, 3))), (3, 129, 255), (273, 351)),
        (MinuteCount("to", 43, ((45, 15), (43, 2))), (357, 285, 261), (250, 10)),
        (MinuteCount("past", 35, ((35, 5),), origin=6), (183, 207), (177, 213)),
        (MinuteCount("to", 25, origin=6), (177, 153), (183, 147)),
    ],
)
def test_the_count_walks_from_its_start_to_the_minute_hand(
    count: MinuteCount, lit: tuple[int, ...], dark: tuple[int, ...]
) -> None:
    pixels = drawn((count, 1.0), time=None)
    assert [at(pixels, angle, 0.9) for angle in lit] == [LIGHT.light] * len(lit)
    assert [at(pixels, angle, 0.9) for angle in dark] == [LIGHT.face] * len(dark)


def outside(pixels: NDArray[np.uint8], angle_deg: float) -> bool:
    """Tell whether anything is written outside the rim in a direction."""
    window = [at(pixels, angle_deg, 1.03 + n / 100) for n in range(20)]
    return any(colour != LIGHT.background for colour in window)


def test_counted_numbers_appear_one_after_another_outside_the_dial() -> None:
    count = MinuteCount("past", 20, ((5, 5), (10, 10), (15, 15), (20, 20)))
    seen = [[outside(drawn((count, taken / 4)), 30.0 * n) for n in (1, 2, 3, 4)] for taken in range(5)]
    assert seen == [[n < taken for n in range(4)] for taken in range(5)]


@pytest.mark.parametrize("cue", EVERY, ids=repr)
def test_cues_stay_inside_the_room_a_dial_is_given(cue: Cue) -> None:
    pixels = drawn((cue, 1.0))
    y, x = np.mgrid[:SIZE, :SIZE]
    beyond = (np.abs(x - CENTRE[0]) > REACH_X * RADIUS) | (np.abs(y - CENTRE[1]) > REACH_Y * RADIUS)
    changed = (pixels != drawn()).any(axis=2)
    assert not (changed & beyond).any()


def test_numbers_at_every_minute_stay_inside_the_room_too() -> None:
    y, x = np.mgrid[:SIZE, :SIZE]
    beyond = (np.abs(x - CENTRE[0]) > REACH_X * RADIUS) | (np.abs(y - CENTRE[1]) > REACH_Y * RADIUS)
    for minute in range(60):
        time = ClockTime(1, minute)
        counted = MinuteCount("past", minute, ((minute, minute),))
        changed = (drawn((counted, 1.0), time=time) != drawn(time=time)).any(axis=2)
        assert not (changed & beyond).any()


@pytest.mark.parametrize("lit", [4, 5])
def test_only_the_numeral_that_is_named_is_turned_round(lit: int) -> None:
    def discs(cue: Cue) -> list[int]:
        pixels = drawn((cue, 1.0), time=None)
        # Beside each numeral, inside its disc.
        places = {numeral: on_dial(CENTRE, RADIUS, 30.0 * numeral, NUMERAL_AT) for numeral in range(1, 13)}
        return [
            numeral
            for numeral, (x, y) in places.items()
            if tuple(pixels[int(y - 0.115 * RADIUS), int(x)][2::-1])
            == (LIGHT.light_edge >> 16 & 255, LIGHT.light_edge >> 8 & 255, LIGHT.light_edge & 255)
        ]

    assert discs(HourSector(4, lit=lit)) == [lit]
    assert discs(ShowReading(ClockTime(4, 43), lit=lit)) == [lit]
    assert discs(ShowReading(ClockTime(4, 43))) == []


@pytest.mark.parametrize(
    ("time", "cue", "named"),
    [
        (ClockTime(8, 45), HourSector(8, lit=9), 9),  # "quarter to": the long hand lies on the nine
        (ClockTime(8, 45), ShowReading(ClockTime(8, 45), lit=9), 9),
        (ClockTime(6, 30), HourSector(6, lit=6), 6),  # "half past": both hands lie on the six
        (ClockTime(3, 15), HourSector(3, lit=3), 3),
    ],
)
def test_a_numeral_that_is_named_is_seen_whole_over_a_hand_that_lies_on_it(
    time: ClockTime, cue: Cue, named: int
) -> None:
    """Its disc looks as it does on a dial without hands."""
    x, y = on_dial(CENTRE, RADIUS, 30.0 * named, NUMERAL_AT)
    reach = round(0.11 * RADIUS)
    rows, columns = (slice(round(middle) - reach, round(middle) + reach) for middle in (y, x))
    rest, alone, under = drawn(time=time), drawn((cue, 1.0), time=None), drawn((cue, 1.0), time=time)
    inside = np.hypot(*np.mgrid[-reach:reach, -reach:reach]) < 0.9 * reach
    assert (rest[rows, columns] != alone[rows, columns]).any(axis=2)[inside].any()  # the hand is there
    assert not (under[rows, columns] != alone[rows, columns]).any(axis=2)[inside].any()


def test_the_ghost_is_an_outline_under_the_true_hands() -> None:
    pixels = drawn((GhostDial(ClockTime(10, 10)), 1.0), time=ClockTime(4, 40))
    assert at(pixels, 240.0, 0.5) == LIGHT.ink
    inside_ghost = at(pixels, 305.0, 0.3)
    assert inside_ghost not in (LIGHT.face, LIGHT.ink, LIGHT.ghost)


@pytest.mark.parametrize(
    ("count", "written"),
    [
        (MinuteCount("to", 35, ((45, 15), (40, 20), (35, 25))), {45: "15", 40: "20", 35: "25"}),
        (MinuteCount("past", 43, ((40, 40), (43, 3))), {40: "40", 43: "+3"}),
        (MinuteCount("to", 25, ((25, 5),), origin=6), {25: "5"}),
        (MinuteCount("past", 15), {}),
    ],
)
def test_what_is_counted_is_what_is_written(count: MinuteCount, written: dict[int, str]) -> None:
    assert written_numbers([ActiveCue(cue=count, progress=1.0)]) == written


def test_the_reading_itself_writes_no_number_that_nobody_says() -> None:
    y, x = np.mgrid[:SIZE, :SIZE]
    outside = np.hypot(x - CENTRE[0], y - CENTRE[1]) > 1.03 * RADIUS
    time = ClockTime(4, 45)
    read = drawn((ShowReading(time, lit=5), 1.0), time=time)
    assert (drawn(time=time)[outside] == read[outside]).all()

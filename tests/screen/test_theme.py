"""Contrast, by the formulas of WCAG 2.2 (relative luminance and contrast ratio, w3.org/TR/WCAG22)."""

from __future__ import annotations

import pytest

from caller.screen import beside_dial
from caller.screen.figures_on_stage import figure_colours
from caller.screen.ground import STEP_BACK, edge_of_mat
from caller.screen.theme import (
    CONTRAST,
    DARK,
    EDGES,
    LIGHT,
    LaneColours,
    Theme,
    at_lightness,
    blend,
    with_alpha,
)

TEXT, SHAPE = 7.0, 3.0  # success criteria 1.4.6 (enhanced) and 1.4.11


def luminance(colour: int) -> float:
    shares = []
    for shift in (16, 8, 0):
        c = (colour >> shift & 0xFF) / 255
        shares.append(c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4)
    return 0.2126 * shares[0] + 0.7152 * shares[1] + 0.0722 * shares[2]


def contrast(one: int, other: int) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def grey(colour: int) -> float:
    """L* of CIE 15, from the criterion's own luminance."""
    y = luminance(colour)
    return 116.0 * y ** (1 / 3) - 16.0 if y > 216 / 24389 else y * 24389 / 27


def lanes(theme: Theme) -> tuple[LaneColours, ...]:
    return (theme.left, theme.middle, theme.right)


both = pytest.mark.parametrize("theme", [LIGHT, DARK, CONTRAST], ids=lambda theme: theme.name)


@pytest.mark.parametrize(
    ("colour", "against_white"),
    # Values published with contrast checkers; checked with the colour-science library, version 0.4.7.
    [(0x777777, 4.478), (0x767676, 4.542), (0x595959, 7.005), (0xFF0000, 3.998), (0x0000FF, 8.592)],
)
def test_the_formula_gives_the_published_ratios(colour: int, against_white: float) -> None:
    assert contrast(colour, 0xFFFFFF) == pytest.approx(against_white, abs=0.001)


@both
def test_all_text_stands_at_seven_to_one(theme: Theme) -> None:
    pairs = [
        (theme.ink, theme.background),
        (theme.ink, theme.face),
        (theme.ink, theme.light),
        (theme.ink, theme.floor),
        (theme.ink, theme.seam),
        (theme.quiet, theme.background),
        (theme.quiet, theme.face),
        (theme.light_text, theme.background),
        (theme.face, theme.light_edge),  # the numeral on its disc
        (theme.notice_text, theme.notice),
        *((theme.ink, lane.tint) for lane in lanes(theme)),
    ]
    assert [hex(text) for text, ground in pairs if contrast(text, ground) < TEXT] == []


@both
def test_all_shapes_stand_at_three_to_one(theme: Theme) -> None:
    pairs = [
        (theme.ghost, theme.face),
        (theme.ghost, theme.background),
        (theme.light_edge, theme.face),
        (theme.light_edge, theme.light),
        (theme.tick, theme.background),
        (theme.face, theme.tick),  # the tick on its disc
        (theme.strip, theme.strip_track),
        (theme.strip, theme.floor),
        (theme.strip, theme.background),
        (theme.strip, theme.face),
        (theme.notice, theme.background),
        *((lane.edge, lane.tint) for lane in lanes(theme)),
        *((lane.edge, theme.background) for lane in lanes(theme)),
        *((lane.edge, theme.floor) for lane in lanes(theme)),
        *((lane.edge, theme.light) for lane in lanes(theme)),
        *((theme.tick, lane.tint) for lane in lanes(theme)),
    ]
    assert [hex(shape) for shape, ground in pairs if contrast(shape, ground) < SHAPE] == []


@both
def test_a_figure_stands_out_from_all_of_the_hall(theme: Theme) -> None:
    outline = figure_colours(theme).outline
    hall = [theme.background, theme.face, theme.floor, theme.seam, theme.skirting]
    hall += [edge_of_mat(side, theme) for side in EDGES]
    assert [hex(ground) for ground in hall if contrast(outline, ground) < SHAPE] == []


@both
def test_the_edge_of_a_mat_stands_out_from_floor_and_mat(theme: Theme) -> None:
    for side in EDGES:
        edge = edge_of_mat(side, theme)
        assert min(contrast(edge, theme.floor), contrast(edge, theme.lane(side).tint)) >= SHAPE


@both
def test_a_lane_that_steps_back_can_still_be_read(theme: Theme) -> None:
    for lane in lanes(theme):
        faded = blend(theme.ink, lane.tint, STEP_BACK)
        assert contrast(faded, lane.tint) >= SHAPE  # large text, success criterion 1.4.3


def test_sun_moon_and_ground_stand_out_from_their_sky() -> None:
    assert contrast(beside_dial.SUN_EDGE, beside_dial.DAY) >= SHAPE
    assert contrast(beside_dial.MOON, beside_dial.NIGHT) >= SHAPE
    assert contrast(beside_dial.DAY_GROUND, beside_dial.DAY) >= SHAPE
    assert contrast(beside_dial.NIGHT_GROUND, beside_dial.NIGHT) >= SHAPE


@both
def test_no_colour_is_a_saturated_red(theme: Theme) -> None:
    # WCAG 2.2, general flash and red flash thresholds: R / (R + G + B) >= 0.8 (from memory).
    colours = [theme.strip, theme.tick, theme.light, theme.light_edge, *(lane.edge for lane in lanes(theme))]
    for colour in colours:
        red, green, blue = (colour >> shift & 0xFF for shift in (16, 8, 0))
        assert red / (red + green + blue) < 0.8


def test_lanes_differ_by_pattern_and_not_by_tint_alone() -> None:
    assert len(set(EDGES.values())) == 3


def test_blending_goes_from_one_colour_to_the_other() -> None:
    assert blend(0xFF102030, 0xFFF0E0D0, 0.0) == 0xFF102030
    assert blend(0xFF102030, 0xFFF0E0D0, 1.0) == 0xFFF0E0D0
    assert blend(0xFF000000, 0xFFFFFFFF, 0.5) == 0xFF808080


@pytest.mark.parametrize("colour", [0xFF0A5A8A, 0xFF7F4A00, 0xFF6FD69B])
@pytest.mark.parametrize("wanted", [0.0, 14.0, 50.0, 71.5, 100.0])
def test_a_colour_gets_the_lightness_that_is_wanted(colour: int, wanted: float) -> None:
    assert grey(at_lightness(colour, wanted)) == pytest.approx(wanted, abs=0.5)


@pytest.mark.parametrize(("alpha", "expected"), [(-1.0, 0x00ABCDEF), (0.5, 0x80ABCDEF), (2.0, 0xFFABCDEF)])
def test_opacity_is_kept_between_none_and_full(alpha: float, expected: int) -> None:
    assert with_alpha(0xFFABCDEF, alpha) == expected

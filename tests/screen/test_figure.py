"""The figure as it lands on the canvas, read back from the pixels."""

import numpy as np
import pytest

from caller.moves.poses import ANIMATIONS, DIAL_VIEW, Joint, Pose, View, animation, clock_arms, pose
from caller.screen.figure import LOOKS, FigureColours, Look, draw_figure
from caller.screen.figure_heads import add_shape
from caller.screen.figure_looks import mixed
from caller.screen.for_paper import filmstrip
from caller.screen.skia_door import skia

Pixels = np.ndarray[tuple[int, ...], np.dtype[np.uint8]]

SIZE, GROUND, HEIGHT = 600, 500, 300.0
INK = FigureColours(silhouette=0xFF000000, shadow=0x00000000)
STANDING = clock_arms(180.0, 180.0)


def _drawn(
    shown: Pose, *, view: View = View.FRONT, look: Look = LOOKS[0], colours: FigureColours = INK
) -> Pixels:
    surface = skia.Surface(SIZE, SIZE)
    canvas = surface.getCanvas()
    canvas.clear(0xFFFFFFFF)
    draw_figure(
        canvas,
        shown,
        view=view,
        centre_x=SIZE / 2,
        ground_y=GROUND,
        height=HEIGHT,
        look=look,
        colours=colours,
    )
    pixels: Pixels = surface.toarray(colorType=skia.kRGBA_8888_ColorType)[..., :3].copy()
    return pixels


def _ink(pixels: Pixels) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    dark: np.ndarray[tuple[int, ...], np.dtype[np.bool_]] = pixels.max(axis=2) < 64
    return dark


def test_a_standing_figure_is_as_tall_as_it_was_asked_to_be_and_stands_on_the_ground() -> None:
    rows = np.flatnonzero(
        _ink(_drawn(STANDING, colours=FigureColours(silhouette=0xFF000000, shadow=0xFFFFFFFF))).any(axis=1)
    )
    assert rows[0] == pytest.approx(GROUND - HEIGHT, abs=0.02 * HEIGHT)
    assert rows[-1] == pytest.approx(GROUND, abs=0.03 * HEIGHT)


def test_a_figure_seen_from_the_front_is_symmetrical() -> None:
    ink = _ink(_drawn(STANDING))
    assert np.mean(ink != ink[:, ::-1]) < 0.004


def test_a_jump_shows_floor_between_the_feet_and_their_shadow() -> None:
    lowest = np.flatnonzero(
        _ink(
            _drawn(pose("pogo-jumps", 0.5), colours=FigureColours(silhouette=0xFF000000, shadow=0xFFFFFFFF))
        ).any(axis=1)
    )[-1]
    assert lowest < GROUND - 0.04 * HEIGHT
    shadow = _drawn(pose("pogo-jumps", 0.5), colours=FigureColours(silhouette=0x00000000))
    rows = np.flatnonzero((shadow.max(axis=2) < 250).any(axis=1))
    assert rows.mean() == pytest.approx(GROUND, abs=0.02 * HEIGHT)


def test_the_shadow_under_the_feet_fades_as_they_rise() -> None:
    def darkness(phase: float) -> float:
        return float(
            np.sum(255.0 - _drawn(pose("pogo-jumps", phase), colours=FigureColours(silhouette=0x00000000)))
        )

    assert darkness(0.5) < 0.8 * darkness(0.0)


def test_a_silhouette_has_one_colour_and_hides_no_part() -> None:
    plain = _drawn(STANDING, colours=FigureColours(shadow=0x00FFFFFF))
    silhouette = _ink(_drawn(STANDING))
    assert np.all(silhouette[plain.max(axis=2) < 128] | (plain[plain.max(axis=2) < 128].max(axis=1) > 60))
    levels = _drawn(STANDING, colours=FigureColours(silhouette=0xFF3366CC, shadow=0xFFFFFFFF)).reshape(-1, 3)
    solid = levels[(levels[:, 0] < 0x40)]
    assert np.all(solid[:, 2] >= 0xC8)


@pytest.mark.parametrize("look", LOOKS)
def test_every_look_draws_its_clothes_and_skin(look: Look) -> None:
    shown = pose("seated-march", 0.0) if look.wheelchair else STANDING
    pixels = _drawn(shown, view=View.THREE_QUARTER, look=look, colours=FigureColours()).reshape(-1, 3)
    seen = set(map(tuple, pixels.tolist()))
    for colour in (look.skin, look.shirt, look.bottoms, look.hair):
        assert ((colour >> 16) & 255, (colour >> 8) & 255, colour & 255) in seen


def test_looks_differ_in_skin_hair_clothes_and_build_and_one_uses_a_wheelchair() -> None:
    assert len(LOOKS) >= 8
    assert len({look.skin for look in LOOKS}) == len(LOOKS)
    assert len({look.style for look in LOOKS}) >= 6
    assert len({look.breadth for look in LOOKS}) >= 4
    assert sum(look.wheelchair for look in LOOKS) == 1


def _luminance(colour: int) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    channels = [((colour >> shift) & 255) / 255 for shift in (16, 8, 0)]
    linear = [value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(first: int, second: int) -> float:
    light, dark = sorted((_luminance(first), _luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_outline_stands_out_from_paper_and_from_every_skin() -> None:
    # WCAG 2.2, 1.4.11: graphical objects at least 3:1 against adjacent colours.
    outline = FigureColours().outline
    assert _contrast(outline, 0xFFFFFFFF) >= 7
    assert _contrast(0xFFFFFFFF, 0xFF000000) == pytest.approx(21)  # the standard's own extreme
    assert max(_contrast(outline, look.skin) for look in LOOKS) > 3


def test_a_raised_arm_is_seen_on_the_side_of_the_class_it_points_to() -> None:
    quarter_past = _ink(_drawn(clock_arms(180.0, 90.0), view=DIAL_VIEW))
    columns = np.flatnonzero(quarter_past.any(axis=0))
    assert columns[-1] - SIZE / 2 > 0.4 * HEIGHT
    assert SIZE / 2 - columns[0] < 0.25 * HEIGHT


def test_a_far_limb_fades_towards_the_shade_and_a_near_one_does_not() -> None:
    look, colours = LOOKS[0], FigureColours()

    def forearm(phase: float, side: str) -> tuple[int, ...]:
        shown = pose("march", phase)
        middle = (shown[Joint[f"ELBOW_{side}"]] + shown[Joint[f"WRIST_{side}"]]) / 2
        right, up, _ = View.SIDE.project(middle)
        pixels = _drawn(shown, view=View.SIDE, look=look, colours=colours)
        return tuple(pixels[round(GROUND - HEIGHT * up), round(SIZE / 2 + HEIGHT * right)].tolist())

    skin, shade = (
        tuple((colour >> shift) & 255 for shift in (16, 8, 0)) for colour in (look.skin, colours.shade)
    )
    assert forearm(0.0, "R") == skin
    for seen, plain, full in zip(forearm(0.5, "L"), skin, shade, strict=True):
        assert min(plain, full) < seen < max(plain, full) or plain == seen == full


def test_a_chair_or_a_wheelchair_is_drawn_for_seated_moves_only() -> None:
    colours = FigureColours(cushion=0xFFFF00FF, frame=0xFF00FFFF)

    def wheels(slug: str, look: Look) -> int:
        pixels = _drawn(pose(slug, 0.0), view=View.SIDE, look=look, colours=colours)
        return int(np.sum((pixels == (255, 0, 255)).all(axis=2)))

    assert wheels("seated-march", LOOKS[0]) > 100
    assert wheels("seated-march", LOOKS[-1]) > wheels("seated-march", LOOKS[0])
    assert wheels("march", LOOKS[0]) == wheels("march", LOOKS[-1]) == 0


def test_mixing_colours_goes_from_one_to_the_other() -> None:
    assert mixed(0xFF102030, 0xFF506070, 0.0) == 0xFF102030
    assert mixed(0xFF102030, 0xFF506070, 1.0) == 0xFF506070
    assert mixed(0xFF102030, 0xFF506070, 0.5) == 0xFF304050


def _area(circles: list[tuple[float, float, float]]) -> float:
    path = skia.Path()
    add_shape(path, circles)
    surface = skia.Surface(300, 300)
    surface.getCanvas().clear(0xFFFFFFFF)
    surface.getCanvas().drawPath(path, skia.Paint(AntiAlias=True, Color=0xFF000000))
    return float(np.sum(255 - surface.toarray()[..., 0].astype(float)) / 255)


def test_shapes_have_the_areas_of_geometry() -> None:
    # Circle, stadium (a rectangle and a circle), and a rounded square (a square, four sides, one circle).
    assert _area([(150, 150, 40)]) == pytest.approx(np.pi * 40**2, rel=0.02)
    assert _area([(100, 150, 40), (200, 150, 40)]) == pytest.approx(100 * 80 + np.pi * 40**2, rel=0.02)
    square = [(100.0, 100.0, 20.0), (200.0, 100.0, 20.0), (200.0, 200.0, 20.0), (100.0, 200.0, 20.0)]
    rounded = 100**2 + 4 * 100 * 20 + np.pi * 20**2
    assert _area(square) == pytest.approx(rounded, rel=0.02)
    assert _area(square[::-1]) == pytest.approx(rounded, rel=0.02)
    # A small circle inside a larger one adds nothing.
    assert _area([(150, 150, 40), (155, 150, 10)]) == pytest.approx(np.pi * 40**2, rel=0.02)


@pytest.mark.parametrize("slug", sorted(ANIMATIONS))
def test_a_filmstrip_shows_its_moments_whole(slug: str) -> None:
    image = filmstrip(slug, frames=4, width=400, silhouette=True)
    assert (image.width(), image.height()) == (400, 145)
    dark = image.toarray(colorType=skia.kRGBA_8888_ColorType)[..., :3].max(axis=2) < 64
    assert not dark[0].any()
    for cell in range(4):
        assert dark[:, cell * 100 : cell * 100 + 100].any()
    assert not dark[:, [0, -1]].any()


def test_the_moments_of_a_moving_strip_differ() -> None:
    pixels = filmstrip("star-jumps", frames=2, width=400).toarray()
    assert np.mean(pixels[:, :200] != pixels[:, 200:]) > 0.05


def test_a_figure_is_drawn_in_the_view_its_move_names() -> None:
    assert animation("squats").view is View.SIDE
    side = _ink(_drawn(pose("squats", 0.5), view=View.SIDE))
    front = _ink(_drawn(pose("squats", 0.5), view=View.FRONT))
    assert np.ptp(np.flatnonzero(side.any(axis=0))) > np.ptp(np.flatnonzero(front.any(axis=0)))


def test_a_leaning_back_head_hides_the_neck() -> None:
    look = LOOKS[0]
    shown = pose("slow-breaths", 0.47)
    head = View.FRONT.project(shown[Joint.HEAD][None])[0]
    pixels = _drawn(shown, look=look, colours=FigureColours(outline=0xFFFF0000))
    row, column = round(GROUND - HEIGHT * head[1]), round(SIZE / 2 + HEIGHT * head[0])
    around = pixels[row - 8 : row + 9, column - 8 : column + 9].reshape(-1, 3)
    assert (255, 0, 0) not in set(map(tuple, around.tolist()))


def test_the_limbs_that_do_the_move_are_marked() -> None:
    """A mark on the part that matters helped children of four to six to copy that part."""

    def marked(slug: str, rows: slice) -> int:
        pixels = _drawn(pose(slug, 0.0), colours=FigureColours()).astype(int)
        yellow = np.abs(pixels - (0xFF, 0xC7, 0x2E)).max(axis=2) < 8
        return int(yellow[rows].sum())

    legs, above = slice(GROUND - 75, GROUND), slice(0, GROUND - 75)
    assert marked("sumo-squats", legs) > 150
    assert marked("sumo-squats", above) == 0
    assert marked("sky-reach", above) > 100
    assert marked("sky-reach", legs) == 0
    assert marked("standing-ready", slice(None)) == 0


def test_eyes_and_mouth_have_no_line_of_their_own() -> None:
    """A line round them made a mouth a beak in profile, and ringed every eye in the dark theme."""
    green = FigureColours(outline=0xFF00FF00)
    for look in LOOKS[:-1]:
        pixels = _drawn(pose("standing-ready", 0.0), look=look, colours=green).astype(int)
        middle = round(GROUND - (1 - 1 / 6.4 / 2) * HEIGHT)
        face = pixels[middle - 10 : middle + 20, SIZE // 2 - 12 : SIZE // 2 + 12]
        assert not ((face[..., 1] > 230) & (face[..., 0] < 80)).any()


@pytest.mark.parametrize("slug", [*ANIMATIONS])
def test_a_hand_that_is_nearest_of_all_is_seen(slug: str) -> None:
    """Held out towards us, it stands on the picture where its forearm and its sleeve are."""
    look = next(look for look in LOOKS if look.long_sleeves)
    view = animation(slug).view
    for moment in range(8):
        at = pose(slug, moment / 8)
        seen = view.project(at.points)
        for hand in (Joint.HAND_L, Joint.HAND_R):
            if seen[hand, 2] < seen[:, 2].max() - 0.01:
                continue
            pixels = _drawn(at, view=view, look=look, colours=FigureColours())
            x, y = SIZE / 2 + HEIGHT * seen[hand, 0], GROUND - HEIGHT * seen[hand, 1]
            near = pixels[round(y) - 4 : round(y) + 5, round(x) - 4 : round(x) + 5].reshape(-1, 3)
            skin = np.array([look.skin >> shift & 0xFF for shift in (16, 8, 0)])
            assert (np.abs(near.astype(int) - skin).max(axis=-1) < 8).any(), (slug, moment)

"""The jointed figure on a Skia canvas: rounded limbs in plain clothes, near limbs over far ones, and its shadow on the floor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from caller.screen.skia_door import skia

from caller.moves.poses import Joint, Pose, View
from caller.screen.figures.heads import head_pieces
from caller.screen.figures.looks import LOOKS, Colour, Look
from caller.screen.figures.seats import Stroke, chair, wheelchair
from caller.screen.figures.shapes import Circle, add_capsule, add_hull

__all__ = ["LOOKS", "FigureColours", "Look", "draw_figure"]

# How far a wheelchair's footplate holds the feet off the floor.
_FOOTPLATE: Final = 0.03

# Radii in body units, at the two ends of each limb.
_UPPER_ARM: Final = (0.036, 0.027)
_FOREARM: Final = (0.026, 0.020)
_HAND: Final = 0.023
_THIGH: Final = (0.056, 0.040)
_SHANK: Final = (0.038, 0.025)
_HEEL, _TOES = 0.024, 0.019
_CHEST, _RIBS, _WAIST, _SEAT = 0.050, 0.052, 0.050, 0.056
_NECK: Final = 0.028


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureColours:
    """What the scene lends the figure; colours are 0xAARRGGBB.

    Attributes
    ----------
    outline
        The line round every limb; against the background it carries the contrast, whatever the clothes.
    shade
        What far limbs fade towards.
    shadow
        The shadow on the floor.
    frame, cushion
        Chairs.
    silhouette
        If set, the whole figure is this one colour.
    """

    outline: Colour = 0xFF1D1F24
    shade: Colour = 0xFF60636C
    shadow: Colour = 0xFF1D1F24
    frame: Colour = 0xFF6B7079
    cushion: Colour = 0xFF2E3138
    silhouette: Colour | None = None


@dataclass(slots=True)
class _Part:
    """Shapes that move together: one outline round all of them, then their fills."""

    depth: float
    fills: list[tuple[Colour, list[Circle]]] = field(default_factory=list)


def draw_figure(
    canvas: skia.Canvas,
    pose: Pose,
    *,
    view: View,
    centre_x: float,
    ground_y: float,
    height: float,
    look: Look,
    colours: FigureColours,
) -> None:
    """Draw one figure.

    Parameters
    ----------
    canvas
        Where to draw; pixels, y down.
    pose, view
        What the figure does, and from where it is seen.
    centre_x, ground_y
        Where the point on the floor under the figure goes.
    height
        Pixels of the standing figure. Raised arms reach 0.25 of it higher, and jumps a little more.
    look, colours
        The figure's own colours and shape, and those of the scene.
    """
    points = pose.points
    if look.wheelchair and pose.seat is not None:
        points = points + (0.0, _FOOTPLATE, 0.0)
    seen = view.project(points)
    flat = np.stack([centre_x + height * seen[:, 0], ground_y - height * seen[:, 1]], axis=-1)
    drawing = _Drawing(flat.tolist(), seen[:, 2].tolist(), height, look, colours)
    paint = skia.Paint(AntiAlias=True)
    _draw_shadow(canvas, paint, points, view, centre_x, ground_y, height, colours)
    strokes: Sequence[Stroke] = ()
    if pose.seat is not None:
        strokes = wheelchair(pose.seat + _FOOTPLATE) if look.wheelchair else chair(pose.seat)
    _draw_strokes(canvas, paint, [one for one in strokes if not one.near], view, centre_x, ground_y, height, colours)
    for part in sorted(drawing.parts(), key=lambda part: part.depth):
        _draw_part(canvas, paint, part, height, colours)
    _draw_strokes(canvas, paint, [one for one in strokes if one.near], view, centre_x, ground_y, height, colours)


def mixed(first: Colour, second: Colour, share: float) -> Colour:
    """Return `first` with `share` of `second` mixed in, opaque."""
    result = 0xFF000000
    for shift in (0, 8, 16):
        a, b = (first >> shift) & 0xFF, (second >> shift) & 0xFF
        result |= round(a + (b - a) * share) << shift
    return result


class _Drawing:
    """One pose on the picture plane, cut into parts."""

    def __init__(
        self, flat: list[list[float]], depth: list[float], height: float, look: Look, colours: FigureColours
    ) -> None:
        self._flat = flat
        self._depth = depth
        self._height = height
        self._look = look
        self._colours = colours
        self._trunk_depth = (depth[Joint.PELVIS] + depth[Joint.NECK]) / 2

    def parts(self) -> list[_Part]:
        """Return every part with its depth; larger is nearer."""
        return [
            self._trunk(),
            self._head(),
            *(limb for side in ("L", "R") for limb in (self._leg(side), self._arm(side))),
        ]

    def _circle(self, joint: Joint, radius: float, towards: Joint | None = None, share: float = 0.0) -> Circle:
        x, y = self._flat[joint]
        if towards is not None:
            to_x, to_y = self._flat[towards]
            x, y = x + share * (to_x - x), y + share * (to_y - y)
        return (x, y, radius * self._height * self._look.breadth)

    def _shaded(self, colour: Colour, depth: float) -> Colour:
        behind = min(max((self._trunk_depth - depth - 0.03) / 0.1, 0.0), 1.0)
        return mixed(colour, self._colours.shade, 0.45 * behind) if behind else colour

    def _trunk(self) -> _Part:
        look = self._look
        rings = []
        for joint, wide, radius in (
            (Joint.WAIST, 0.75, _WAIST),
            (Joint.SPINE, 0.55, _RIBS),
        ):
            # The trunk's width at each level, between the line of the hips and that of the shoulders.
            ends = []
            for hip, shoulder in ((Joint.HIP_L, Joint.SHOULDER_L), (Joint.HIP_R, Joint.SHOULDER_R)):
                x, y = self._flat[joint]
                across = [
                    wide * (self._flat[hip][axis] - self._flat[Joint.PELVIS][axis])
                    + (1 - wide) * 0.5 * (self._flat[shoulder][axis] - self._flat[Joint.NECK][axis])
                    for axis in (0, 1)
                ]
                ends.append((x + across[0], y + across[1], radius * self._height * look.breadth))
            rings.append(ends)
        hips = [self._circle(Joint.HIP_L, _SEAT), self._circle(Joint.HIP_R, _SEAT)]
        shoulders = [
            self._circle(Joint.SHOULDER_L, _CHEST, Joint.NECK, 0.3),
            self._circle(Joint.SHOULDER_R, _CHEST, Joint.NECK, 0.3),
        ]
        waist, ribs = rings
        return _Part(
            self._trunk_depth,
            [
                (look.skin, [self._circle(Joint.NECK, _NECK), self._circle(Joint.HEAD, _NECK)]),
                (look.bottoms, waist + hips),
                (look.shirt, waist + ribs),
                (look.shirt, ribs + shoulders),
            ],
        )

    def _arm(self, side: str) -> _Part:
        look = self._look
        shoulder, elbow, wrist, hand = (Joint[f"{name}_{side}"] for name in ("SHOULDER", "ELBOW", "WRIST", "HAND"))
        depth = (self._depth[elbow] + self._depth[wrist]) / 2
        sleeve = self._shaded(look.shirt, depth)
        skin = self._shaded(look.skin, depth)
        upper = [self._circle(shoulder, _UPPER_ARM[0]), self._circle(elbow, _UPPER_ARM[1])]
        fore = [self._circle(elbow, _FOREARM[0]), self._circle(wrist, _FOREARM[1])]
        fills = [
            (skin, [self._circle(wrist, _HAND, hand, 0.2), self._circle(wrist, _HAND, hand, 0.72)]),
            (sleeve if look.long_sleeves else skin, fore),
            (sleeve if look.long_sleeves else skin, upper),
        ]
        if not look.long_sleeves:
            fills.append((sleeve, [self._circle(shoulder, _UPPER_ARM[0] + 0.003), self._circle(shoulder, _UPPER_ARM[1] + 0.006, elbow, 0.55)]))
        # An arm that hangs level with the trunk belongs in front of it.
        return _Part(depth + 0.02, fills)

    def _leg(self, side: str) -> _Part:
        look = self._look
        hip, knee, ankle, heel, ball, toe = (Joint[f"{name}_{side}"] for name in ("HIP", "KNEE", "ANKLE", "HEEL", "BALL", "TOE"))
        depth = (self._depth[knee] + self._depth[ankle]) / 2
        bottoms = self._shaded(look.bottoms, depth)
        skin = self._shaded(look.skin, depth)
        thigh = [self._circle(hip, _THIGH[0]), self._circle(knee, _THIGH[1])]
        shank = [self._circle(knee, _SHANK[0]), self._circle(ankle, _SHANK[1])]
        fills = [
            (bottoms if look.long_legs else skin, shank),
            (bottoms if look.long_legs else skin, thigh),
        ]
        if not look.long_legs:
            fills.append((bottoms, [self._circle(hip, _THIGH[0] + 0.003), self._circle(hip, _THIGH[1] + 0.01, knee, 0.7)]))
        shoe = self._shaded(look.shoes, depth)
        sole = [self._raised(heel, ankle, heel, ball, _HEEL), self._raised(ball, ankle, heel, ball, _TOES)]
        fills.append((shoe, [*sole, self._circle(ankle, _SHANK[1])]))
        fills.append((shoe, [sole[1], self._raised(toe, ankle, heel, ball, _TOES)]))
        return _Part(depth, fills)

    def _raised(self, joint: Joint, ankle: Joint, heel: Joint, ball: Joint, radius: float) -> Circle:
        """Return a circle that touches the sole at `joint` from above."""
        across = [
            self._flat[ankle][axis] - self._flat[heel][axis] - (self._flat[ball][axis] - self._flat[heel][axis]) * 0.035 / 0.11
            for axis in (0, 1)
        ]
        x, y = self._flat[joint]
        return (x + across[0] * radius / 0.04, y + across[1] * radius / 0.04, radius * self._height)

    def _head(self) -> _Part:
        look = self._look
        pieces = head_pieces(
            [self._flat[joint] for joint in (Joint.THROAT, Joint.HEAD, Joint.FACE)],
            self._depth[Joint.FACE] - self._depth[Joint.HEAD],
            self._height,
            look,
        )
        return _Part(self._depth[Joint.HEAD] + 0.01, pieces)


def _draw_part(canvas: skia.Canvas, paint: skia.Paint, part: _Part, height: float, colours: FigureColours) -> None:
    paths = []
    for colour, circles in part.fills:
        path = skia.Path()
        if len(circles) == 1:
            path.addCircle(*circles[0])
        elif len(circles) == 2:
            add_capsule(path, circles[0], circles[1])
        else:
            add_hull(path, circles)
        paths.append((colour, path))
    line = colours.outline if colours.silhouette is None else colours.silhouette
    paint.setStyle(skia.Paint.kStrokeAndFill_Style)
    paint.setStrokeJoin(skia.Paint.kRound_Join)
    paint.setStrokeWidth(0.014 * height)
    paint.setColor(line)
    for _, path in paths:
        canvas.drawPath(path, paint)
    if colours.silhouette is not None:
        return
    paint.setStyle(skia.Paint.kFill_Style)
    for colour, path in paths:
        paint.setColor(colour)
        canvas.drawPath(path, paint)


def _draw_strokes(
    canvas: skia.Canvas,
    paint: skia.Paint,
    strokes: Sequence[Stroke],
    view: View,
    centre_x: float,
    ground_y: float,
    height: float,
    colours: FigureColours,
) -> None:
    paint.setStyle(skia.Paint.kStroke_Style)
    paint.setStrokeCap(skia.Paint.kRound_Cap)
    paint.setStrokeJoin(skia.Paint.kRound_Join)
    for stroke in strokes:
        seen = view.project(np.array(stroke.points))
        path = skia.Path()
        path.addPoly([skia.Point(centre_x + height * x, ground_y - height * y) for x, y, _ in seen.tolist()], False)
        paint.setStrokeWidth(stroke.width * height)
        colour = colours.cushion if stroke.dark else colours.frame
        paint.setColor(colour if colours.silhouette is None else colours.silhouette)
        canvas.drawPath(path, paint)


_SHADOWS: Final[tuple[tuple[Joint, float], ...]] = (
    (Joint.PELVIS, 0.15),
    *((joint, 0.07) for joint in (Joint.BALL_L, Joint.BALL_R)),
    *((joint, 0.06) for joint in (Joint.HEEL_L, Joint.HEEL_R, Joint.KNEE_L, Joint.KNEE_R, Joint.WRIST_L, Joint.WRIST_R, Joint.SPINE, Joint.NECK)),
)


def _draw_shadow(
    canvas: skia.Canvas,
    paint: skia.Paint,
    points: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    view: View,
    centre_x: float,
    ground_y: float,
    height: float,
    colours: FigureColours,
) -> None:
    """Soft pools under what is near the floor: they stay behind when the figure leaves it, so that a jump reads as a jump."""
    on_floor = view.project(points * (1.0, 0.0, 1.0)).tolist()
    paint.setStyle(skia.Paint.kFill_Style)
    paint.setColor(colours.shadow)
    for joint, radius in _SHADOWS:
        level = float(points[joint, 1])
        strength = 0.16 if joint is Joint.PELVIS else 0.3 * max(0.0, 1 - level / 0.25) ** 2
        if strength < 0.01:
            continue
        x, y, _ = on_floor[joint]
        paint.setAlphaf(strength)
        wide, high = radius * height, radius * height * 0.28
        left, top = centre_x + height * x, ground_y - height * y
        canvas.drawOval(skia.Rect.MakeLTRB(left - wide, top - high, left + wide, top + high), paint)

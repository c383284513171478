"""The jointed figure on a Skia canvas: rounded limbs in plain clothes, near over far, over its shadow."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np

from caller.moves.poses import Joint, Pose, View
from caller.screen.figures.colours import FigureColours
from caller.screen.figures.looks import LOOKS, Look
from caller.screen.figures.parts import Body, Part
from caller.screen.figures.placement import Placement, Spot
from caller.screen.figures.seats import Strokes, chair, wheelchair
from caller.screen.figures.shapes import add_shape
from caller.screen.skia_door import skia

__all__ = ["LOOKS", "FigureColours", "Look", "draw_figure"]

# In body units.
_OUTLINE: Final = 0.008
_LINE: Final = 0.0055
_HINT: Final = 0.009
_FOOTPLATE: Final = 0.03

_FEET: Final = (Joint.HEEL_L, Joint.TOE_L, Joint.HEEL_R, Joint.TOE_R)
_LOW: Final = (*_FEET, Joint.KNEE_L, Joint.KNEE_R, Joint.WRIST_L, Joint.WRIST_R, Joint.SPINE, Joint.NECK)
_NEAR_FLOOR: Final = 0.12  # what is lower than this casts the shadow


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
        Pixels of the standing figure. Raised arms reach a quarter of it higher, jumps a little more.
    look, colours
        The figure's own colours and shape, and those of the scene. A look with a wheelchair is for seated
        moves; on any other it stands.
    """
    placement = Placement(view=view, centre_x=centre_x, ground_y=ground_y, height=height)
    points = pose.points
    strokes: tuple[Strokes, ...] = ()
    if pose.seat is not None:
        if look.wheelchair:
            points = np.add(points, (0.0, _FOOTPLATE, 0.0))
            strokes = wheelchair(pose.seat + _FOOTPLATE)
        else:
            strokes = chair(pose.seat)
    paint = skia.Paint(AntiAlias=True, StrokeCap=skia.Paint.kRound_Cap, StrokeJoin=skia.Paint.kRound_Join)
    _draw_shadow(canvas, paint, pose, placement, colours)
    _draw_strokes(canvas, paint, (one for one in strokes if not one.near), placement, colours)
    still, (drag_x, drag_y, _) = placement.spots(np.array([np.zeros(3), pose.drag]))
    drag = ((drag_x - still[0]) / height, (drag_y - still[1]) / height)
    body = Body(placement.spots(points), placement, look, colours, works=pose.works, drag=drag)
    parts = body.parts()
    _draw_silhouette(canvas, paint, parts, placement, colours)
    if colours.silhouette is None:
        for part in parts:
            _draw_part(canvas, paint, part, placement, colours)
    _draw_strokes(canvas, paint, (one for one in strokes if one.near), placement, colours)
    if colours.silhouette is None:
        _draw_hints(canvas, paint, pose, placement, colours)


def _draw_silhouette(
    canvas: skia.Canvas,
    paint: skia.Paint,
    parts: Sequence[Part],
    placement: Placement,
    colours: FigureColours,
) -> None:
    """Draw the line round the whole figure, or all of it in one colour."""
    whole = skia.Path()
    for part in parts:
        for _, circles in part.fills:
            add_shape(whole, circles, swell=_OUTLINE * placement.height)
    paint.setStyle(skia.Paint.kFill_Style)
    paint.setColor(colours.outline if colours.silhouette is None else colours.silhouette)
    canvas.drawPath(whole, paint)


def _draw_part(
    canvas: skia.Canvas, paint: skia.Paint, part: Part, placement: Placement, colours: FigureColours
) -> None:
    """Draw a part with its own line, thinner than the one round the figure."""
    line = skia.Path()
    for circles in part.edge:
        add_shape(line, circles, swell=_LINE * placement.height)
    paint.setStyle(skia.Paint.kFill_Style)
    paint.setColor(colours.outline)
    canvas.drawPath(line, paint)
    fills: list[tuple[int, skia.Path]] = []
    for colour, circles in part.fills:
        if not fills or fills[-1][0] != colour:
            fills.append((colour, skia.Path()))
        add_shape(fills[-1][1], circles)
    for colour, path in fills:
        paint.setColor(colour)
        canvas.drawPath(path, paint)


def _draw_strokes(
    canvas: skia.Canvas,
    paint: skia.Paint,
    strokes: Iterable[Strokes],
    placement: Placement,
    colours: FigureColours,
) -> None:
    paint.setStyle(skia.Paint.kStroke_Style)
    for stroke in strokes:
        paint.setStrokeWidth(stroke.width * placement.height)
        colour = colours.cushion if stroke.dark else colours.frame
        paint.setColor(colour if colours.silhouette is None else colours.silhouette)
        canvas.drawPath(_lines(placement.spots(stroke.points), stroke.lengths), paint)


def _lines(spots: Sequence[Spot], lengths: Sequence[int]) -> skia.Path:
    path = skia.Path()
    start = 0
    for length in lengths:
        path.addPoly([skia.Point(x, y) for x, y, _ in spots[start : start + length]], False)
        start += length
    return path


def _draw_hints(
    canvas: skia.Canvas, paint: skia.Paint, pose: Pose, placement: Placement, colours: FigureColours
) -> None:
    paint.setStyle(skia.Paint.kStroke_Style)
    paint.setStrokeWidth(_HINT * placement.height)
    paint.setColor(colours.outline)
    paint.setAlphaf(0.55)
    for hint in pose.hints:
        canvas.drawPath(_lines(placement.spots(hint), [len(hint)]), paint)


def _draw_shadow(
    canvas: skia.Canvas, paint: skia.Paint, pose: Pose, placement: Placement, colours: FigureColours
) -> None:
    """Draw one soft shadow under all that touches the floor; it stays there, smaller and paler, in a jump."""
    level = pose.points[list(_LOW), 1]
    lowest = float(level.min())
    held = [joint for joint, up in zip(_LOW, level.tolist(), strict=True) if up < lowest + _NEAR_FLOOR]
    spots = placement.spots(pose.points * (1.0, 0.0, 1.0))
    xs, ys = [spots[joint][0] for joint in held], [spots[joint][1] for joint in held]
    away = min(1.0, lowest / 0.3)
    height = placement.height
    wide = (max(xs) - min(xs)) / 2 + (0.05 - 0.03 * away) * height
    high = (max(ys) - min(ys)) / 2 + (0.018 - 0.008 * away) * height
    x, y = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2
    paint.setStyle(skia.Paint.kFill_Style)
    paint.setColor(colours.shadow)
    paint.setAlphaf(0.30 - 0.18 * away)
    canvas.drawOval(skia.Rect.MakeLTRB(x - wide, y - high, x + wide, y + high), paint)
    paint.setAlphaf(1.0)

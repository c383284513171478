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
_OUTLINE: Final = 0.007
_HINT: Final = 0.009
_FOOTPLATE: Final = 0.03

# What casts a pool of shadow when it is near the floor, and the pool's radius.
_POOLS: Final[tuple[tuple[Joint, float], ...]] = (
    (Joint.PELVIS, 0.15),
    (Joint.BALL_L, 0.07),
    (Joint.BALL_R, 0.07),
    *(
        (joint, 0.06)
        for joint in (
            Joint.HEEL_L,
            Joint.HEEL_R,
            Joint.KNEE_L,
            Joint.KNEE_R,
            Joint.WRIST_L,
            Joint.WRIST_R,
            Joint.SPINE,
            Joint.NECK,
        )
    ),
)


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
    for part in Body(placement.spots(points), placement, look, colours).parts():
        _draw_part(canvas, paint, part, placement, colours)
    _draw_strokes(canvas, paint, (one for one in strokes if one.near), placement, colours)
    if colours.silhouette is None:
        _draw_hints(canvas, paint, pose, placement, colours)


def _draw_part(
    canvas: skia.Canvas, paint: skia.Paint, part: Part, placement: Placement, colours: FigureColours
) -> None:
    outline = skia.Path()
    fills: list[tuple[int, skia.Path]] = []
    for colour, circles in part.fills:
        add_shape(outline, circles, swell=_OUTLINE * placement.height)
        if not fills or fills[-1][0] != colour:
            fills.append((colour, skia.Path()))
        add_shape(fills[-1][1], circles)
    paint.setStyle(skia.Paint.kFill_Style)
    paint.setColor(colours.outline if colours.silhouette is None else colours.silhouette)
    canvas.drawPath(outline, paint)
    if colours.silhouette is None:
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
    """Draw soft pools that stay on the floor when the figure leaves it, so that a jump reads as a jump."""
    spots = placement.spots(pose.points * (1.0, 0.0, 1.0))
    paint.setStyle(skia.Paint.kFill_Style)
    paint.setColor(colours.shadow)
    for joint, radius in _POOLS:
        level = float(pose.points[joint, 1])
        strength = 0.16 if joint is Joint.PELVIS else 0.3 * max(0.0, 1 - level / 0.25) ** 2
        if strength < 0.01:
            continue
        x, y, _ = spots[joint]
        wide, high = radius * placement.height, radius * placement.height * 0.28
        paint.setAlphaf(strength)
        canvas.drawOval(skia.Rect.MakeLTRB(x - wide, y - high, x + wide, y + high), paint)

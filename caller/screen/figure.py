"""The jointed figure on a Skia canvas: rounded limbs in plain clothes, near over far, over its shadow."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import accumulate, groupby, pairwise
from operator import itemgetter
from typing import Final

import numpy as np

from caller.moves.poses import Joint, Pose, View
from caller.screen.figure_body import Body, Part, Strokes, chair, wheelchair
from caller.screen.figure_heads import Circle, add_shape
from caller.screen.figure_looks import LOOKS, FigureColours, Look, Placement, Spot
from caller.screen.skia_door import skia

__all__ = [
    "LOOKS",
    "FigureColours",
    "Filled",
    "Ink",
    "Look",
    "Pulled",
    "Shadow",
    "draw_figure",
    "inks",
    "seat_reach",
]

# In body units.
_OUTLINE: Final = 0.008
_LINE: Final = 0.0055
_HINT: Final = 0.009
_FOOTPLATE: Final = 0.03

_FEET: Final = (Joint.HEEL_L, Joint.TOE_L, Joint.HEEL_R, Joint.TOE_R)
_LOW: Final = (*_FEET, Joint.KNEE_L, Joint.KNEE_R, Joint.WRIST_L, Joint.WRIST_R, Joint.SPINE, Joint.NECK)
_NEAR_FLOOR: Final = 0.12  # what is lower than this casts the shadow


@dataclass(frozen=True, slots=True)
class Filled:
    """Rounded shapes in one colour, each stretched round its circles, whose radii are `swell` larger."""

    colour: int
    shapes: tuple[Sequence[Circle], ...]
    swell: float = 0.0


@dataclass(frozen=True, slots=True)
class Pulled:
    """Lines from point to point, pulled with one round pen."""

    colour: int
    lines: tuple[Sequence[Spot], ...]
    width: float
    opacity: float = 1.0


@dataclass(frozen=True, slots=True)
class Shadow:
    """An oval on the floor: its middle, and half its width and height."""

    colour: int
    x: float
    y: float
    wide: float
    high: float
    opacity: float


Ink = Filled | Pulled | Shadow
"""One thing that is drawn of a figure, as plain data."""


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
    """Draw one figure on a canvas; see `inks`."""
    paint = skia.Paint(AntiAlias=True, StrokeCap=skia.Paint.kRound_Cap, StrokeJoin=skia.Paint.kRound_Join)
    for ink in inks(
        pose, view=view, centre_x=centre_x, ground_y=ground_y, height=height, look=look, colours=colours
    ):
        paint.setColor(ink.colour)
        match ink:
            case Shadow():
                paint.setStyle(skia.Paint.kFill_Style)
                paint.setAlphaf(ink.opacity)
                canvas.drawOval(
                    skia.Rect.MakeLTRB(
                        ink.x - ink.wide, ink.y - ink.high, ink.x + ink.wide, ink.y + ink.high
                    ),
                    paint,
                )
            case Filled():
                path = skia.Path()
                for circles in ink.shapes:
                    add_shape(path, circles, swell=ink.swell)
                paint.setStyle(skia.Paint.kFill_Style)
                canvas.drawPath(path, paint)
            case Pulled():
                path = skia.Path()
                for line in ink.lines:
                    path.addPoly([skia.Point(x, y) for x, y, _ in line], False)
                paint.setStyle(skia.Paint.kStroke_Style)
                paint.setStrokeWidth(ink.width)
                paint.setAlphaf(ink.opacity)
                canvas.drawPath(path, paint)


def inks(
    pose: Pose,
    *,
    view: View,
    centre_x: float,
    ground_y: float,
    height: float,
    look: Look,
    colours: FigureColours,
) -> Iterator[Ink]:
    """Yield what is drawn of a figure, from back to front.

    Parameters
    ----------
    pose, view
        What the figure does, and from where it is seen.
    centre_x, ground_y
        Where the point on the floor under the figure goes; pixels, y down.
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
    yield _shadow(pose, placement, colours)
    yield from _seat((one for one in strokes if not one.near), placement, colours)
    still, (drag_x, drag_y, _) = placement.spots(np.array([np.zeros(3), pose.drag]))
    drag = ((drag_x - still[0]) / height, (drag_y - still[1]) / height)
    parts = Body(placement.spots(points), placement, look, colours, works=pose.works, drag=drag).parts()
    yield Filled(
        colours.outline if colours.silhouette is None else colours.silhouette,
        tuple(circles for part in parts for _, circles in part.fills),
        _OUTLINE * height,
    )
    if colours.silhouette is None:
        for part in parts:
            yield from _part(part, height, colours)
    yield from _seat((one for one in strokes if one.near), placement, colours)
    if colours.silhouette is None:
        for hint in pose.hints:
            yield Pulled(colours.outline, (placement.spots(hint),), _HINT * height, 0.55)


def _part(part: Part, height: float, colours: FigureColours) -> Iterator[Filled]:
    """Yield a part with its own line, thinner than the one round the figure."""
    yield Filled(colours.outline, tuple(part.edge), _LINE * height)
    for colour, fills in groupby(part.fills, key=itemgetter(0)):
        yield Filled(colour, tuple(circles for _, circles in fills))


def _seat(strokes: Iterable[Strokes], placement: Placement, colours: FigureColours) -> Iterator[Pulled]:
    for stroke in strokes:
        colour = colours.cushion if stroke.dark else colours.frame
        spots = placement.spots(stroke.points)
        ends = [0, *accumulate(stroke.lengths)]
        yield Pulled(
            colour if colours.silhouette is None else colours.silhouette,
            tuple(spots[first:last] for first, last in pairwise(ends)),
            stroke.width * placement.height,
        )


@cache
def seat_reach(view: View, seat: float) -> tuple[float, float]:
    """Return how far a wheelchair, the widest seat, reaches left and right of its user, in body units."""
    left = right = 0.0
    for stroke in wheelchair(seat + _FOOTPLATE):
        across = view.project(stroke.points)[..., 0]
        left = max(left, stroke.width / 2 - float(across.min()))
        right = max(right, stroke.width / 2 + float(across.max()))
    return left, right


def _shadow(pose: Pose, placement: Placement, colours: FigureColours) -> Shadow:
    """Return one soft shadow under all that touches the floor; it stays, smaller and paler, in a jump."""
    level = pose.points[list(_LOW), 1]
    lowest = float(level.min())
    held = [joint for joint, up in zip(_LOW, level.tolist(), strict=True) if up < lowest + _NEAR_FLOOR]
    spots = placement.spots(pose.points * (1.0, 0.0, 1.0))
    xs, ys = [spots[joint][0] for joint in held], [spots[joint][1] for joint in held]
    away = min(1.0, lowest / 0.3)
    return Shadow(
        colours.shadow,
        x=(max(xs) + min(xs)) / 2,
        y=(max(ys) + min(ys)) / 2,
        wide=(max(xs) - min(xs)) / 2 + (0.05 - 0.03 * away) * placement.height,
        high=(max(ys) - min(ys)) / 2 + (0.018 - 0.008 * away) * placement.height,
        opacity=0.30 - 0.18 * away,
    )

"""The hall the lesson happens in: its wall and floor, a banner and a mat for every lane, and beads to count.

The choices hang on the wall and stand on the floor of a hall like the class's own. A lane is known by its
place, by the shape of its banner's foot, by its weave and the pattern of its edges, and only then by its
tint. The answer's lane stands in the light; the others step back. Time to think lies on the floor as a line
of beads, one for each second, and is picked up one by one.
"""

from __future__ import annotations

import math

from caller.deciding import Side
from caller.screen import Rect
from caller.screen.skia_door import skia
from caller.screen.theme import EDGES, Theme, at_lightness, blend, with_alpha

STEP_BACK = 0.5  # how far a lane that is not the answer fades towards its tint
NOTCH = 0.055  # how deep the foot of a banner is shaped, in units
PICKED_IN_S = 0.35  # how long the picking up of a bead is seen
# How much of its edge's colour is woven into a lane's cloth: round letters, round a dial, under feet.
_BANNER_THREAD, _BARE_THREAD, _MAT_THREAD = 0.55, 0.7, 0.4
FLOOR_BEHIND = 0.07  # how much floor is seen behind a figure's feet, in units
SKIRTING = 0.012  # of a height, in units
_BOARD, _JOINT, _RUNG, _BAR = 0.075, 0.007, 0.058, 0.017  # pitch and width of boards and of bars, in units
_MAT_EDGE = 50.0  # its L*: floor and figures stand 3:1 from it in every theme
_PITCH = 0.056  # of a lane's weave, in units
_BOARDS = 14  # lines on the floor that run away from the class


def draw_hall(
    canvas: skia.Canvas, *, width: float, height: float, floor_at: float, unit: float, theme: Theme
) -> None:
    """Draw the wall, and the floor from `floor_at` down, with boards that run away from the class."""
    canvas.clear(theme.background)
    canvas.drawRect(skia.Rect.MakeLTRB(0.0, floor_at, width, height), skia.Paint(Color=theme.floor))
    seam = skia.Paint(AntiAlias=True, Color=theme.seam, StrokeWidth=0.0022 * height)
    away = 1.1 * height - floor_at  # how far over the floor's edge its lines would meet
    for n in range(_BOARDS + 1):
        foot = width * (1.6 * n / _BOARDS - 0.3)
        share = away / (away + height - floor_at)
        canvas.drawLine(width / 2 + (foot - width / 2) * share, floor_at, foot, height, seam)
    skirting = skia.Rect.MakeLTRB(0.0, floor_at - SKIRTING * unit, width, floor_at)
    canvas.drawRect(skirting, skia.Paint(Color=theme.skirting))


def draw_wall(canvas: skia.Canvas, side: Side, room: Rect, *, unit: float, theme: Theme) -> None:
    """Draw the hall's wall behind a lane: upright boards on the left, wall bars on the right, plain between.

    From afar and with no colour at all the two sides are then different places; the wood is so pale that a
    figure before it stands out as before a bare wall.
    """
    if side == "middle" or room.height <= 0.0:
        return
    wood = skia.Paint(AntiAlias=True, Color=theme.seam)
    if side == "left":
        count = max(2, round(room.width / (_BOARD * unit)))
        for n in range(count + 1):
            x = room.x + (n / count) * (room.width - _JOINT * unit)
            canvas.drawRect(skia.Rect.MakeXYWH(x, room.y, _JOINT * unit, room.height), wood)
        return
    for x in (room.x, room.right - _BAR * unit):
        canvas.drawRect(skia.Rect.MakeXYWH(x, room.y, _BAR * unit, room.height), wood)
    # Counted from the floor, where a class sees how high the lowest one is.
    y = room.bottom - 1.4 * _RUNG * unit
    while y > room.y:
        canvas.drawRect(skia.Rect.MakeXYWH(room.x, y, room.width, _BAR * unit), wood)
        y -= _RUNG * unit


def _patterned(side: Side, width: float, unit: float, colour: int) -> skia.Paint:
    """Return the pen of a lane's edge."""
    pen = skia.Paint(
        AntiAlias=True,
        Color=colour,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=width,
        StrokeJoin=skia.Paint.kRound_Join,
    )
    match EDGES[side]:
        case "dashes":
            pen.setPathEffect(skia.DashPathEffect.Make([0.045 * unit, 0.026 * unit], 0.0))
        case "dots":
            pen.setStrokeCap(skia.Paint.kRound_Cap)
            pen.setPathEffect(skia.DashPathEffect.Make([0.01, 2.0 * width], 0.0))
        case "line":
            pass
    return pen


def _draw_weave(
    canvas: skia.Canvas,
    side: Side,
    path: skia.Path,
    room: Rect,
    *,
    unit: float,
    colour: int,
    plain: Rect | None = None,
) -> None:
    """Weave a lane's cloth: plain on the left and in `plain`, dotted in the middle, striped on the right."""
    if side == "left":
        return
    thread = skia.Paint(AntiAlias=True, Color=colour)
    pitch = _PITCH * unit
    if side == "right":  # as many whole stripes as fit, one at either edge
        pitch = room.width / (round(room.width / pitch) + 0.5)
    canvas.save()
    if (
        plain is not None
    ):  # cut off the cloth itself: a drawing on paper or a page knows no clip that leaves out
        letters = skia.Path()
        letters.addRect(skia.Rect.MakeXYWH(plain.x, plain.y, plain.width, plain.height))
        path = skia.Op(path, letters, skia.kDifference_PathOp)
    canvas.clipPath(path, skia.ClipOp.kIntersect, True)
    for column in range(math.ceil(room.width / pitch) + 1):
        x = room.x + column * pitch
        if side == "right":
            canvas.drawRect(skia.Rect.MakeXYWH(x, room.y, pitch / 2, room.height), thread)
            continue
        for row in range(math.ceil(room.height / pitch) + 1):
            shift = pitch / 2 if row % 2 else 0.0
            canvas.drawCircle(x + shift, room.y + row * pitch, 0.2 * pitch, thread)
    canvas.restore()


def draw_banner(
    canvas: skia.Canvas,
    side: Side,
    room: Rect,
    *,
    unit: float,
    theme: Theme,
    heavy: bool,
    faded: bool,
    letters: Rect | None = None,
) -> None:
    """Hang a lane's banner on the wall; its foot is straight, round or notched, by the lane's place.

    Behind its `letters` the cloth is plain: stripes are as wide as strokes, and from the last row the one is
    taken for the other.
    """
    width = (0.017 if heavy else 0.011) * unit
    inside = room.inset(width / 2)
    path = _banner_path(side, inside, NOTCH * unit)
    colours = theme.lane(side)
    edge = blend(colours.edge, colours.tint, STEP_BACK) if faded else colours.edge
    canvas.drawPath(path, skia.Paint(AntiAlias=True, Color=colours.tint))
    thread = blend(colours.tint, colours.edge, _BARE_THREAD if letters is None else _BANNER_THREAD)
    _draw_weave(canvas, side, path, inside, unit=unit, colour=thread, plain=letters)
    canvas.drawPath(path, _patterned(side, width, unit, edge))
    # The rail it hangs from is one piece, so that the dashes of an edge are not taken for a gap.
    rail = skia.Paint(AntiAlias=True, Color=edge, StrokeWidth=1.3 * width, StrokeCap=skia.Paint.kRound_Cap)
    canvas.drawLine(inside.x, inside.y, inside.right, inside.y, rail)


def _banner_path(side: Side, room: Rect, notch: float) -> skia.Path:
    path = skia.Path()
    path.moveTo(room.x, room.y)
    path.lineTo(room.right, room.y)
    match side:
        case "left":
            path.lineTo(room.right, room.bottom - notch)
            path.lineTo(room.x, room.bottom - notch)
        case "middle":
            path.lineTo(room.right, room.bottom - notch)
            path.quadTo(room.centre_x, room.bottom + notch, room.x, room.bottom - notch)
        case "right":
            path.lineTo(room.right, room.bottom)
            path.lineTo(room.centre_x, room.bottom - 1.3 * notch)
            path.lineTo(room.x, room.bottom)
    path.close()
    return path


def edge_of_mat(side: Side, theme: Theme) -> int:
    """Return the colour of a mat's edge: between the floor and the outline of whoever kneels on it."""
    return at_lightness(theme.lane(side).edge, _MAT_EDGE)


def draw_mat(
    canvas: skia.Canvas,
    side: Side,
    room: Rect,
    *,
    unit: float,
    theme: Theme,
    heavy: bool,
    faded: bool,
    lit: bool,
) -> None:
    """Lay a lane's mat on the floor in `room`, narrower at the back; a lit one lies in the answer's light."""
    lean = 0.08 * room.width
    corners = ((lean, 0.0), (room.width - lean, 0.0), (room.width, room.height), (0.0, room.height))
    path = skia.Path.Polygon([skia.Point(room.x + x, room.y + y) for x, y in corners], True)
    colours = theme.lane(side)
    edge = edge_of_mat(side, theme)
    edge = blend(edge, colours.tint, STEP_BACK) if faded else edge
    ground = theme.light if lit else colours.tint
    canvas.drawPath(path, skia.Paint(AntiAlias=True, Color=ground))
    thread = blend(ground, colours.edge, 0.5 * _MAT_THREAD if faded else _MAT_THREAD)
    _draw_weave(canvas, side, path, room, unit=unit, colour=thread)
    canvas.drawPath(path, _patterned(side, (0.016 if heavy else 0.009) * unit, unit, edge))


def draw_sign(canvas: skia.Canvas, room: Rect, *, unit: float, theme: Theme) -> None:
    """Stand a plain sign in a room, so that no line of the hall runs through what is written there."""
    box = skia.Rect.MakeXYWH(room.x, room.y, room.width, room.height)
    corner = 0.02 * unit
    canvas.drawRoundRect(box, corner, corner, skia.Paint(AntiAlias=True, Color=theme.face))
    edge = skia.Paint(
        AntiAlias=True, Color=theme.skirting, Style=skia.Paint.kStroke_Style, StrokeWidth=0.005 * unit
    )
    canvas.drawRoundRect(box, corner, corner, edge)


def draw_floor_patch(canvas: skia.Canvas, room: Rect, feet: float, *, unit: float, theme: Theme) -> None:
    """Draw the floor under a figure that stands beside words, where the hall's floor begins lower down."""
    wide, deep = min(0.5 * unit, 0.9 * room.width), 0.075 * unit
    top, lean = feet - 0.55 * deep, 0.1 * wide
    corners = ((lean - wide / 2, 0.0), (wide / 2 - lean, 0.0), (wide / 2, deep), (-wide / 2, deep))
    path = skia.Path.Polygon([skia.Point(room.centre_x + x, top + y) for x, y in corners], True)
    canvas.drawPath(path, skia.Paint(AntiAlias=True, Color=theme.floor))
    edge = skia.Paint(
        AntiAlias=True,
        Color=theme.skirting,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=0.005 * unit,
        StrokeJoin=skia.Paint.kRound_Join,
    )
    canvas.drawPath(path, edge)


def draw_light(canvas: skia.Canvas, mat: Rect, top: float, *, theme: Theme) -> None:
    """Let light fall from `top` onto a mat."""
    narrow = 0.16 * mat.width
    corners = (
        (mat.centre_x - narrow, top),
        (mat.centre_x + narrow, top),
        (mat.right, mat.bottom),
        (mat.x, mat.bottom),
    )
    ends = [skia.Point(mat.centre_x, top), skia.Point(mat.centre_x, mat.bottom)]
    colours = [with_alpha(theme.light, 0.35), with_alpha(theme.light, 0.9)]
    paint = skia.Paint(AntiAlias=True, Shader=skia.GradientShader.MakeLinear(ends, colours))
    canvas.drawPath(skia.Path.Polygon([skia.Point(x, y) for x, y in corners], True), paint)


def bead_count(think_s: float) -> int:
    """Return how many beads a think time has: one for each second begun."""
    return max(1, math.ceil(think_s - 1e-6))


def beads_left(think_s: float, left_s: float) -> float:
    """Return how many beads lie on the floor; a fraction while one is being picked up."""
    left = min(float(bead_count(think_s)), max(0.0, left_s))
    whole = math.floor(left)
    # A bead goes at the end of its second, within the time in which a hand would pick it up.
    return whole + min(1.0, (left - whole) / PICKED_IN_S)


def bead_place(think_s: float, number: int, room: Rect) -> Rect:
    """Return the place of one bead, from 0 on the left."""
    count = bead_count(think_s)
    across = min(0.92 * room.height, 0.8 * room.width / count)
    pitch = min(2.1 * across, room.width / count)
    x = room.centre_x + (number - (count - 1) / 2) * pitch
    return Rect(x=x - across / 2, y=room.centre_y - across / 2, width=across, height=across)


def draw_beads(canvas: skia.Canvas, think_s: float, left_s: float, room: Rect, *, theme: Theme) -> None:
    """Draw the line of beads; where one has been picked up, a small hollow stays."""
    left = beads_left(think_s, left_s)
    bead = skia.Paint(AntiAlias=True, Color=theme.strip)
    hollow = skia.Paint(AntiAlias=True, Color=theme.strip_track)
    for number in range(bead_count(think_s)):
        place = bead_place(think_s, number, room)
        radius = place.width / 2
        size = min(1.0, max(0.0, left - number))
        canvas.drawCircle(place.centre_x, place.centre_y, 0.45 * radius, hollow)
        if size > 0.0:
            canvas.drawCircle(place.centre_x, place.centre_y, radius * size, bead)

"""The stage: one scene on one canvas, of any size, in any theme.

What a board never moves is recorded once and played back; a frame then draws only hands, cues,
figures, caption and beads.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache, partial

from caller.deciding import Side
from caller.runsheet import Board, Lane
from caller.screen import Rect
from caller.screen.beside_dial import draw_number_line, draw_sky
from caller.screen.caption import (
    cloth_place,
    draw_asked,
    draw_caption,
    draw_cloth,
    draw_notice,
    draw_words,
    fit_in,
    fits_between,
    last_seconds,
    names_fit,
)
from caller.screen.cues import come_to, draw_hands_and_cues, reach
from caller.screen.dial import draw_face
from caller.screen.drawings import draw_arrow
from caller.screen.figures_on_stage import (
    FigureDoing,
    Performer,
    alone,
    cast_of,
    common_height,
    draw_performer,
    ink,
    look_for,
)
from caller.screen.ground import (
    FLOOR_BEHIND,
    SKIRTING,
    STEP_BACK,
    beads_left,
    draw_beads,
    draw_floor_patch,
    draw_hall,
    draw_sign,
)
from caller.screen.lanes import LanePlaces, draw_lane, lane_row
from caller.screen.layout import Places, places
from caller.screen.scene import Scene
from caller.screen.skia_door import skia
from caller.screen.text import draw_block, draw_in, draw_numeral, width_of
from caller.screen.theme import Theme

_PATCH = 0.04  # of floor before the feet of who stands beside words, in units


def draw_scene(canvas: skia.Canvas, scene: Scene, *, width: int, height: int, theme: Theme) -> None:
    """Draw a whole picture of `width` by `height` pixels."""
    scene = as_shown(scene, theme)
    canvas.drawPicture(standing_parts(scene.board, scene.point_to, width, height, theme))
    draw_parts(canvas, moving_parts(scene, width=width, height=height, theme=theme))


def as_shown(scene: Scene, theme: Theme) -> Scene:
    """Return what is shown of a scene.

    Of a list that is read out the point being said stands alone, large, with its picture, and needs no
    caption. The theme for weak eyes leaves a choice's dial alone.
    """
    board = scene.board
    if board.layout == "points" and board.pictures:
        said = board.points.index(scene.caption) if scene.caption in board.points else 0
        alone = replace(
            board, points=(), pictures=(), title=board.points[said], move=board.pictures[said] or board.move
        )
        return replace(scene, board=alone, caption="")
    if theme.name != "dial" or not (board.dials and board.lanes):
        return scene
    return replace(scene, board=replace(board, lanes=(), title="", progress="", answer=None), point_to=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class MovingPart:
    """A part of a picture that may differ from one frame to the next.

    Attributes
    ----------
    of
        All that its drawing depends on, on pictures of one size and theme: what is equal looks equal.
    place
        Tells where it is drawn; None where it is always drawn.
    draw
        Draws it.
    performer
        The figure, where it is one.
    """

    of: tuple[Hashable, ...]
    draw: Callable[[skia.Canvas], None]
    place: Callable[[], Rect] | None = None
    performer: Performer | None = None


def draw_parts(
    canvas: skia.Canvas,
    parts: Iterable[MovingPart],
    draw_figure: Callable[[skia.Canvas, Performer], None] | None = None,
) -> None:
    """Draw, over the standing parts, what may differ from one frame to the next.

    What lies outside the canvas's clip costs next to nothing. `draw_figure` draws the figures in another way.
    """
    for part in parts:
        if part.place is None or _in_sight(canvas, part.place()):
            if part.performer is not None and draw_figure is not None:
                draw_figure(canvas, part.performer)
            else:
                part.draw(canvas)


def moving_parts(scene: Scene, *, width: int, height: int, theme: Theme) -> Iterator[MovingPart]:
    """Yield what lies over the standing parts of a scene as it is shown, from back to front."""
    board = scene.board
    placed = places(board, width, height)
    come = tuple((active.cue, come_to(active)) for active in scene.cues)
    for n, (dial, place) in enumerate(zip(board.dials, placed.middle.dials, strict=False)):
        # Reasons are about the clock in question, which is the last one shown.
        last = n == len(placed.middle.dials) - 1
        yield MovingPart(
            of=("hands", dial.time, come if last else (), place.centre, place.radius, board.numerals),
            place=partial(reach, place.centre, place.radius),
            draw=partial(
                draw_hands_and_cues,
                time=dial.time,
                cues=scene.cues if last else (),
                centre=place.centre,
                radius=place.radius,
                theme=theme,
                numerals=board.numerals,
            ),
        )
    if board.jumps and placed.middle.asked is not None:
        room = placed.middle.asked.inset(0.03 * placed.unit, 0.012 * placed.unit)
        yield MovingPart(
            of=("line", board.jumps, come, room),
            draw=partial(
                draw_number_line, jumps=board.jumps, cues=scene.cues, room=room, unit=placed.unit, theme=theme
            ),
        )
    for performer in performers(scene, width, height):
        yield MovingPart(
            of=("figure", performer),
            performer=performer,
            place=partial(ink, performer, theme),
            draw=partial(draw_performer, performer=performer, theme=theme),
        )
    number = last_seconds(scene.think_s, scene.left_s)
    if scene.count is not None and placed.count is not None:
        text, room = str(scene.count), placed.count
        size = min(0.42 * placed.unit, room.height, room.width / width_of("00", 1.0, True))
        yield MovingPart(
            of=("count", text, room, size),
            draw=partial(
                draw_numeral, text=text, x=room.centre_x, y=room.centre_y, size=size, colour=theme.ink
            ),
        )
    elif number is None:
        number = scene.count
    if not scene.covered:
        yield MovingPart(
            of=("foot", scene.caption, number, board, scene.point_to),
            place=lambda: placed.caption,
            draw=partial(_draw_foot, scene=scene, number=number, placed=placed, theme=theme),
        )
    if scene.think_s is not None:
        yield MovingPart(
            of=("beads", scene.think_s, beads_left(scene.think_s, scene.left_s), placed.beads),
            place=lambda: placed.beads,
            draw=partial(
                draw_beads, think_s=scene.think_s, left_s=scene.left_s, room=placed.beads, theme=theme
            ),
        )
    if scene.raised is not None and scene.covered:
        yield MovingPart(
            of=("cloth", scene.raised, placed.foot),
            place=partial(cloth_place, scene.raised, placed.foot),
            draw=partial(draw_cloth, raised=scene.raised, foot=placed.foot, theme=theme),
        )
    if scene.notice:
        yield MovingPart(
            of=("notice", scene.notice, placed.title),
            draw=partial(draw_notice, text=scene.notice, room=placed.title, theme=theme),
        )


def _draw_foot(canvas: skia.Canvas, scene: Scene, number: int | None, placed: Places, theme: Theme) -> None:
    """Draw the words being said and a number, beside the moves' names while the class decides or moves."""
    caption, room = scene.caption, placed.caption
    named = placed.names()
    asking = scene.board.answer is None and scene.point_to is None
    if named is not None and asking and fits_between(caption, named[1], placed.unit):
        rooms, between = named
        names = names_fit([lane.move_name for lane in scene.board.lanes], rooms, placed.unit)
        if names is not None:
            for block, place, lane in zip(names, rooms, scene.board.lanes, strict=True):
                # Under the lane, as far as there is room.
                half = block.width / 2
                x = min(max(placed.lanes[lane.side].centre_x, place.x + half), place.right - half)
                top = place.y + (place.height - block.height) / 2
                draw_block(canvas, block, x=x, top=top, colour=theme.ink)
            # What was said before the last seconds makes room for their number.
            caption, room = caption if number is None else "", between
    draw_caption(canvas, caption, number, room, unit=placed.unit, theme=theme)


def _in_sight(canvas: skia.Canvas, place: Rect) -> bool:
    """Tell whether any of a place may be inside the canvas's clip."""
    return not canvas.quickReject(skia.Rect.MakeXYWH(place.x, place.y, place.width, place.height))


@lru_cache(maxsize=8)
def standing_parts(
    board: Board, point_to: Side | None, width: int, height: int, theme: Theme
) -> skia.Picture:
    """Record everything that stands still while a board is shown."""
    recorder = skia.PictureRecorder()
    canvas = recorder.beginRecording(skia.Rect.MakeWH(width, height))
    placed = places(board, width, height)
    draw_hall(
        canvas, width=width, height=height, floor_at=_floor_at(board, placed), unit=placed.unit, theme=theme
    )
    _draw_head(canvas, board, placed, theme)
    _draw_lanes(canvas, board, point_to, placed, theme)
    middle = placed.middle
    for dial, place in zip(board.dials, middle.dials, strict=False):
        draw_face(canvas, centre=place.centre, radius=place.radius, theme=theme, numerals=board.numerals)
        label = fit_in(dial.label, place.label, 0.045 * placed.unit, lines=1)
        draw_in(canvas, label, place.label, theme.ink)
    if middle.arrow is not None:
        first, second = middle.dials
        draw_arrow(canvas, middle.arrow, down=second.centre[1] > first.centre[1], theme=theme)
    if middle.sky is not None and board.day_time is not None:
        draw_sky(canvas, board.day_time, middle.sky, theme=theme)
    if middle.asked is not None and board.jumps:
        draw_sign(canvas, middle.asked, unit=placed.unit, theme=theme)
    elif middle.asked is not None:
        draw_asked(canvas, board, middle.asked, placed.unit, theme)
    if placed.words is not None:
        draw_words(canvas, board, placed.words, placed.unit, theme)
    if placed.figure is not None and placed.words is not None and (board.move or board.arms):
        draw_floor_patch(
            canvas, placed.figure, _feet_at(board, placed, placed.figure), unit=placed.unit, theme=theme
        )
    if placed.figure is not None and board.move_name:
        if placed.name is not None:
            name, size, lines = placed.name, 0.1, 4
        else:
            name, size, lines = _name_room(placed.figure, placed.unit), 0.074, 1
        draw_in(
            canvas, fit_in(board.move_name, name, size * placed.unit, lines=lines, bold=True), name, theme.ink
        )
    return recorder.finishRecordingAsPicture()


def _floor_at(board: Board, placed: Places) -> float:
    """Return where the wall meets the floor: behind the feet of whoever stands there."""
    feet = [parts.figure.bottom for _, parts in _lanes(board, placed)]
    if placed.figure is not None:
        feet.append(_feet_at(board, placed, placed.figure))
    behind = (max(feet) if feet else placed.caption.y) - FLOOR_BEHIND * placed.unit
    # The skirting does not run through a list of words.
    return behind if placed.words is None else max(behind, placed.words.bottom + 2 * SKIRTING * placed.unit)


def _feet_at(board: Board, placed: Places, figure: Rect) -> float:
    """Return where a single figure stands: over the name of its move, if that is not beside it.

    Beside words it stands on a patch of floor, which ends before the name.
    """
    unit = placed.unit
    patch = _PATCH * unit if board.layout in ("title", "points") else 0.0
    if board.move_name and placed.name is None:
        return _name_room(figure, unit).y - patch
    return figure.bottom - max(0.02 * unit, patch)


def _draw_head(canvas: skia.Canvas, board: Board, placed: Places, theme: Theme) -> None:
    """Draw the title, where the board does not show it larger, and how far the lesson has come.

    Over lanes there is no room for letters that the last row could read.
    """
    if board.lanes:
        return
    if placed.words is None:
        title = fit_in(board.title, placed.title, 0.042 * placed.unit, lines=2, bold=True)
        top = placed.title.y + (placed.title.height - title.height) / 2
        draw_block(canvas, title, x=placed.title.x, top=top, colour=theme.ink, align="left")
    room = placed.progress
    progress = fit_in(board.progress, room, 0.074 * placed.unit, lines=1, bold=True)
    top = room.y + (room.height - progress.height) / 2
    draw_block(canvas, progress, x=room.right, top=top, colour=theme.quiet, align="right")


def _lanes(board: Board, placed: Places) -> list[tuple[Lane, LanePlaces]]:
    """Pair the lanes with the places of their parts."""
    return list(zip(board.lanes, lane_row(board.lanes, placed.lanes, placed.unit), strict=True))


def _steps_back(lane: Lane, board: Board, point_to: Side | None) -> bool:
    """Tell whether a lane fades: another one is the answer, and this one is not being explained."""
    return board.answer is not None and lane.side not in (board.answer, point_to)


def _draw_lanes(
    canvas: skia.Canvas, board: Board, point_to: Side | None, placed: Places, theme: Theme
) -> None:
    """Draw the lanes without their figures."""
    for lane, parts in _lanes(board, placed):
        draw_lane(
            canvas,
            lane,
            parts,
            unit=placed.unit,
            theme=theme,
            heavy=lane.side in (point_to, board.answer),
            faded=_steps_back(lane, board, point_to),
            answer=lane.side == board.answer,
            numerals=board.numerals,
        )


@lru_cache(maxsize=4)
def performers(scene: Scene, width: int, height: int) -> tuple[Performer, ...]:
    """Return the figures on a picture of `width` by `height` pixels, at the scene's moment."""
    return tuple(
        _performing(performer, scene) for performer in _line_up(scene.board, scene.point_to, width, height)
    )


def _performing(performer: Performer, scene: Scene) -> Performer:
    """Return a figure as it is at the scene's moment; while one lane shows its move or claps, the others
    stand.
    """
    shown = scene.doing not in ("show", "clap") or performer.side in (None, scene.point_to)
    doing = performer.doing.instead(scene.doing if shown else "still")
    step = doing.step_at(scene.move_s, scene.bpm)
    return replace(performer, doing=doing, step=step, usually=performer.doing)


@lru_cache(maxsize=8)
def _line_up(board: Board, point_to: Side | None, width: int, height: int) -> tuple[Performer, ...]:
    """Place the lanes' figures, all of one size, and the board's single figure."""
    placed = places(board, width, height)
    lanes = [
        (lane, FigureDoing(what=lane.move), parts.figure)
        for lane, parts in _lanes(board, placed)
        if lane.move
    ]
    tall = common_height([(doing, room) for _, doing, room in lanes]) if lanes else 0.0
    first = cast_of(*[(lane.numeral, lane.dial, lane.move) for lane, _, _ in lanes])
    seated = all(doing.seated for _, doing, _ in lanes)
    found = [
        Performer(
            doing=doing,
            room=room,
            height=tall,
            look=look_for(first + n, seated=seated),
            side=lane.side,
            opacity=1.0 - STEP_BACK if _steps_back(lane, board, point_to) else 1.0,
        )
        for n, (lane, doing, room) in enumerate(lanes)
    ]
    what = board.arms or board.move
    if placed.figure is not None and what is not None:
        room = placed.figure
        tall = _feet_at(board, placed, room) - room.y
        room = Rect(x=room.x, y=room.y, width=room.width, height=tall)
        doing = FigureDoing(what=what)
        look = look_for(cast_of(what, board.title), seated=doing.seated)
        found.append(alone(doing, room, look=look))
    return tuple(found)


def _name_room(figure: Rect, unit: float) -> Rect:
    """Return the foot of the single figure's room, for the name of its move."""
    tall = 0.1 * unit
    return Rect(x=figure.x, y=figure.bottom - tall, width=figure.width, height=tall)

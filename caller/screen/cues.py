"""Picture cues on a dial: the reason, shown on the hands while the voice says it.

No light, ghost or hand is ever drawn on a numeral; only the numeral being named is itself turned
round, over everything. A cue swells in and stays; nothing blinks. How far it has come is the scene's
business, so the same progress is always the same picture.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import assert_never

from caller.clock import ClockTime, hands
from caller.clock.said_and_shown import (
    GhostDial,
    HandPulse,
    HourSector,
    MinuteCount,
    Numerals,
    ShowReading,
    TimeJump,
)
from caller.screen import Rect
from caller.screen.dial import (
    HOUR_HAND,
    MARK_INNER,
    MARK_OUTER,
    MINUTE_HAND,
    HandShape,
    PicturePoint,
    draw_clear_of,
    draw_hands,
    draw_hour_numeral,
    hand_path,
    middle_of_numeral,
    numeral_width,
    numerals_room,
    on_dial,
)
from caller.screen.scene import ActiveCue
from caller.screen.skia_door import skia
from caller.screen.text import cap_height, draw_numeral, width_of
from caller.screen.theme import Theme, with_alpha

REACH_X, REACH_Y = 1.23, 1.13  # what a dial with its counted numbers takes, in radii
_NUMBER_HEIGHT = 0.112
_BADGE = 0.135
_NUMBERS_FROM = 1.006  # counted numbers stand outside the rim
_TOO_NEAR_DEG = 16.0  # two numbers nearer than this would touch
_TRACK = (MARK_INNER + MARK_OUTER) / 2
# By which share of its words a cue has come to rest; of each step, for a count.
_SWELLED, _SHOWN, _SWEPT, _STEPPED = 0.4, 0.25, 0.7, 0.6


def reach(centre: PicturePoint, radius: float) -> Rect:
    """Return the place of a dial with its counted numbers."""
    x, y = REACH_X * radius, REACH_Y * radius
    return Rect(x=centre[0] - x, y=centre[1] - y, width=2 * x, height=2 * y)


def swell(progress: float, *, by: float = _SWELLED) -> float:
    """Return a smooth rise from 0 to 1 that is done when `progress` reaches `by`."""
    x = min(1.0, max(0.0, progress / by))
    return x * x * (3.0 - 2.0 * x)


def come_to(active: ActiveCue) -> float:
    """Return how far a cue has come as it is drawn: while that stays, so does its picture."""
    match active.cue:
        case MinuteCount() as count:
            steps, taken = divmod(_walked(count, active.progress), 1.0)
            return steps + min(taken, _STEPPED)
        case HourSector():
            return min(active.progress, _SWEPT)
        case TimeJump() as jump:
            return _jumped(jump, active.progress) / abs(jump.minutes)
        case _:
            return min(active.progress, _SWELLED)


def draw_hands_and_cues(
    canvas: skia.Canvas,
    time: ClockTime | None,
    cues: Sequence[ActiveCue],
    *,
    centre: PicturePoint,
    radius: float,
    theme: Theme,
    numerals: Numerals = "arabic",
) -> None:
    """Draw, on an empty dial, what is being shown and the hands: light, ghost, hands, names, numbers."""
    time = _moved_to(time, cues)
    for active in cues:
        _draw_under(canvas, active, time, centre, radius, theme, numerals)
    if time is not None:
        draw_hands(canvas, time, centre=centre, radius=radius, theme=theme, numerals=numerals)
    for hour, shown in _named(cues):
        _draw_badge(canvas, hour, shown, centre, radius, theme, numerals)
    _draw_numbers(canvas, cues, centre, radius, theme)


def _named(cues: Sequence[ActiveCue]) -> list[tuple[int, float]]:
    """List the numerals being named, and how far each is turned round."""
    found = []
    for active in cues:
        match active.cue:
            case HourSector(lit=lit):
                found.append((lit, swell(active.progress, by=_SHOWN)))
            case ShowReading(lit=int(lit)):
                found.append((lit, swell(active.progress)))
            case _:
                pass
    return found


def _draw_under(
    canvas: skia.Canvas,
    active: ActiveCue,
    time: ClockTime | None,
    centre: PicturePoint,
    radius: float,
    theme: Theme,
    numerals: Numerals,
) -> None:
    """Draw the part of a cue that lies beneath the hands."""
    match active.cue:
        case HourSector() as sector:
            _draw_sector(canvas, sector, active.progress, centre, radius, theme, numerals)
        case MinuteCount() as count:
            _draw_count_track(canvas, count, active.progress, centre, radius, theme)
        case GhostDial(time=other):
            _draw_ghost(canvas, other, swell(active.progress), centre, radius, theme, numerals)
        case HandPulse(hand=hand):
            if time is not None:
                at = hands(time)
                angle, shape = (at.hour_deg, HOUR_HAND) if hand == "hour" else (at.minute_deg, MINUTE_HAND)
                _draw_halo(canvas, angle, shape, swell(active.progress), centre, radius, theme, numerals)
        case ShowReading() | TimeJump():
            pass  # its numeral is turned round over the hands, or it is the hands that move
        case _:
            assert_never(active.cue)


def _moved_to(time: ClockTime | None, cues: Sequence[ActiveCue]) -> ClockTime | None:
    """Return the time that the hands have been taken to; the dial's own where no jump is shown."""
    for active in cues:
        if isinstance(active.cue, TimeJump):
            way = 1 if active.cue.minutes > 0 else -1
            time = active.cue.start.plus(way * _jumped(active.cue, active.progress))
    return time


def _jumped(jump: TimeJump, progress: float) -> int:
    """Return the whole minutes that a jump has come: the hands go from mark to mark, and rest at the end."""
    return round(abs(jump.minutes) * swell(progress, by=_SWEPT))


def _draw_sector(
    canvas: skia.Canvas,
    sector: HourSector,
    progress: float,
    centre: PicturePoint,
    radius: float,
    theme: Theme,
    numerals: Numerals,
) -> None:
    """Light the space from the numeral the hour hand has passed up to the next one."""
    shown = swell(progress, by=_SHOWN)
    sweep = 30.0 * swell(progress, by=_SWEPT)
    inner = 0.835 * radius
    box = skia.Rect.MakeLTRB(centre[0] - inner, centre[1] - inner, centre[0] + inner, centre[1] + inner)
    room = numerals_room(30.0 * sector.hour, centre=centre, radius=radius, numerals=numerals)
    lit = skia.Path()
    lit.moveTo(*centre)
    lit.arcTo(box, 30.0 * sector.hour - 90.0, sweep, False)
    lit.close()
    fill = skia.Paint(AntiAlias=True, Color=with_alpha(theme.light, shown))
    edge = skia.Paint(
        AntiAlias=True,
        Color=with_alpha(theme.light_edge, shown),
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=0.016 * radius,
        StrokeJoin=skia.Paint.kRound_Join,
    )
    for paint in (fill, edge):
        draw_clear_of(canvas, room, lit, paint)


def _draw_badge(
    canvas: skia.Canvas,
    hour: int,
    shown: float,
    centre: PicturePoint,
    radius: float,
    theme: Theme,
    numerals: Numerals,
) -> None:
    """Turn a numeral round: light on dark in a disc, as wide as the numeral needs."""
    x, y = middle_of_numeral(hour, numerals)
    x, y = centre[0] + radius * x, centre[1] + radius * y
    disc = skia.Paint(AntiAlias=True, Color=with_alpha(theme.light_edge, shown))
    if numerals == "roman":
        half, tall = max(_BADGE, numeral_width(hour, numerals) / 2 + 0.05) * radius, _BADGE * radius
        canvas.drawRoundRect(skia.Rect.MakeLTRB(x - half, y - tall, x + half, y + tall), tall, tall, disc)
    else:
        canvas.drawCircle(x, y, _BADGE * radius, disc)
    colour = with_alpha(theme.face, shown)
    draw_hour_numeral(canvas, hour, centre=centre, radius=radius, colour=colour, numerals=numerals)


def _steps(count: MinuteCount) -> list[tuple[str, float]]:
    """
    List every step of the walk: the number written there and the angle reached.

    What is written is what the voice says, number for number; a last step on to the hand is silent. Single
    minutes that are said as so many more are written so: "+3".
    """
    start = 5 * count.origin
    way = 1 if count.towards == "past" else -1
    steps = []
    for mark, said in count.counted:
        gone = way * (mark - start) % 60
        steps.append((str(said) if said == gone else f"+{said}", 30.0 * count.origin + 6.0 * way * gone))
    end = 30.0 * count.origin + 6.0 * way * (way * (count.end - start) % 60)
    if not steps or steps[-1][1] != end:
        steps.append(("", end))
    return steps


def _walked(count: MinuteCount, progress: float) -> float:
    """Return how many steps have been taken; a fraction while one is being taken."""
    return min(1.0, max(0.0, progress)) * len(_steps(count))


def _draw_count_track(
    canvas: skia.Canvas,
    count: MinuteCount,
    progress: float,
    centre: PicturePoint,
    radius: float,
    theme: Theme,
) -> None:
    """Draw the way walked so far along the marks."""
    steps = _steps(count)
    taken = _walked(count, progress)
    start = 30.0 * count.origin
    reached = start
    for n, (_, angle) in enumerate(steps):
        reached += (angle - reached) * swell(taken - n, by=_STEPPED)
    ring = _TRACK * radius
    box = skia.Rect.MakeLTRB(centre[0] - ring, centre[1] - ring, centre[0] + ring, centre[1] + ring)
    under = skia.Paint(
        AntiAlias=True,
        Color=theme.light,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=(MARK_OUTER - MARK_INNER) * 1.25 * radius,
    )
    canvas.drawArc(box, start - 90.0, reached - start, False, under)
    for number in range(round(abs(reached - start) / 6.0) + 1):
        angle = start + (6.0 if count.towards == "past" else -6.0) * number
        whole = number % 5 == 0
        mark = skia.Paint(
            AntiAlias=True, Color=theme.light_edge, StrokeWidth=(0.045 if whole else 0.026) * radius
        )
        canvas.drawLine(
            *on_dial(centre, radius, angle, MARK_OUTER),
            *on_dial(centre, radius, angle, MARK_INNER),
            mark,
        )


def _numbers(cues: Sequence[ActiveCue]) -> list[tuple[str, float, float]]:
    """List the numbers that stand outside the rim: text, angle and how far each has come."""
    found = []
    for active in cues:
        if isinstance(active.cue, MinuteCount):
            taken = _walked(active.cue, active.progress)
            found += [
                (text, angle, swell(taken - n, by=_STEPPED))
                for n, (text, angle) in enumerate(_steps(active.cue))
                if text
            ]
    return found


def written_numbers(cues: Sequence[ActiveCue]) -> dict[int, str]:
    """Return the numbers that are written outside the rim by now, each with its minute mark."""
    return {round(angle / 6.0) % 60: text for text, angle, shown in _numbers(cues) if shown > 0.0}


def _draw_numbers(
    canvas: skia.Canvas, cues: Sequence[ActiveCue], centre: PicturePoint, radius: float, theme: Theme
) -> None:
    """Write each counted number outside the rim; a later one takes the place of a close neighbour."""
    numbers = _numbers(cues)
    size = _NUMBER_HEIGHT / cap_height(True)
    standing: list[tuple[float, float]] = []
    for text, angle, shown in reversed(numbers):
        for other, there in standing:
            if abs((angle - other + 180.0) % 360.0 - 180.0) < _TOO_NEAR_DEG:
                shown *= 1.0 - there
        standing.append((angle, shown))
        if shown > 0.0:
            turn = math.radians(angle)
            half_width = width_of(text, size, True) / 2
            out = abs(math.sin(turn)) * half_width + abs(math.cos(turn)) * _NUMBER_HEIGHT / 2
            x, y = on_dial(centre, radius, angle, _NUMBERS_FROM + out)
            colour = with_alpha(theme.light_text, shown)
            draw_numeral(canvas, text, x=x, y=y, size=size * radius, colour=colour)


def _draw_ghost(
    canvas: skia.Canvas,
    time: ClockTime,
    shown: float,
    centre: PicturePoint,
    radius: float,
    theme: Theme,
    numerals: Numerals,
) -> None:
    """Draw where the hands would have to be for a wrong reading: dashed outlines, not filled."""
    at = hands(time)
    outline = skia.Paint(
        AntiAlias=True,
        Color=with_alpha(theme.ghost, shown),
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=max(1.5, 0.025 * radius),
        PathEffect=skia.DashPathEffect.Make([0.05 * radius, 0.03 * radius], 0.0),
    )
    veil = skia.Paint(AntiAlias=True, Color=with_alpha(theme.ghost, 0.22 * shown))
    for angle, shape in ((at.hour_deg, HOUR_HAND), (at.minute_deg, MINUTE_HAND)):
        path = hand_path(centre, radius, angle, shape)
        room = numerals_room(angle, centre=centre, radius=radius, numerals=numerals)
        for paint in (veil, outline):
            draw_clear_of(canvas, room, path, paint)


def _draw_halo(
    canvas: skia.Canvas,
    angle_deg: float,
    shape: HandShape,
    shown: float,
    centre: PicturePoint,
    radius: float,
    theme: Theme,
    numerals: Numerals,
) -> None:
    """Light the space round one hand."""
    path = hand_path(centre, radius, angle_deg, shape)
    room = numerals_room(angle_deg, centre=centre, radius=radius, numerals=numerals)
    for colour, width in ((theme.light_edge, 0.15), (theme.light, 0.12)):
        draw_clear_of(
            canvas,
            room,
            path,
            skia.Paint(
                AntiAlias=True,
                Color=with_alpha(colour, shown),
                Style=skia.Paint.kStroke_Style,
                StrokeWidth=width * shown * radius,
                StrokeJoin=skia.Paint.kRound_Join,
            ),
        )

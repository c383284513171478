"""A hall from above: how clear and how loud the caller is at each place, with the speaker and the rows."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from caller.hall import Hall
from caller.hall.advice import HallReport
from caller.hall.bands import FloatArray
from caller.hall.floor import floor_map
from caller.hall.intelligibility import WORDS
from caller.screen import Rect
from caller.screen.layout import unit_of
from caller.screen.skia_door import skia
from caller.screen.text import Align, draw_block, draw_line, draw_numeral, fit
from caller.screen.theme import LIGHT, Theme, at_lightness

_MOST_CELLS = 14  # along the hall: as many as leave room for a number in each
_DARKEST = 71.5  # L* of the strongest shade: figures stand 7:1 on it
_LEVEL_STEP_DB = 3.0  # a step that is heard as one
_FIGURES = 0.38  # of a cell's smaller side
_BOX, _TIP = 0.012, 0.041  # half the speaker's box, and how far its arrow reaches; shares of the unit
_COVERED = 0.032  # figures nearer than this to the speaker's drawing are left out


@dataclass(frozen=True, slots=True)
class _Shade:
    """One colour of a map, and what it stands for."""

    least: float
    words: str
    colour: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind:
    """What one of the two maps shows."""

    title: str
    shades: tuple[_Shade, ...]  # the least first
    written: Callable[[float], str]


def draw_hall(canvas: skia.Canvas, hall: Hall, told: HallReport, *, width: float, height: float) -> None:
    """Draw a whole page: the speech transmission index and the level over the floor, and the first advice.

    Parameters
    ----------
    told
        The report about the same hall.
    """
    theme = LIGHT  # a page to print and to pass on
    canvas.clear(theme.background)
    unit = unit_of(width, height)
    margin = 0.05 * unit
    head = fit(
        told.name[:1].upper() + told.name[1:],
        width=width - 2 * margin,
        height=0.09 * unit,
        largest=0.06 * unit,
        bold=True,
    )
    draw_block(canvas, head, x=margin, top=margin, colour=theme.ink, align="left")
    floor = floor_map(hall, step_m=max(1.0, max(hall.length_m, hall.width_m) / _MOST_CELLS))
    foot = 0.24 * unit
    each = (width - 3 * margin) / 2
    top = margin + 0.11 * unit
    for place, (kind, values) in enumerate(
        ((_clearness(theme), floor.sti), (_loudness(floor.level_dba, theme), floor.level_dba))
    ):
        room = Rect(
            x=margin + place * (each + margin), y=top, width=each, height=height - top - foot - margin
        )
        _draw_map(canvas, hall, values, kind, room, unit, theme)
    _draw_advice(
        canvas, told, Rect(x=margin, y=height - foot, width=width - 2 * margin, height=foot), unit, theme
    )


def _clearness(theme: Theme) -> _Kind:
    """Amber where little is understood, paler step by step, and white where all is: so in grey too."""
    colours = [at_lightness(theme.light_edge, wanted) for wanted in np.linspace(_DARKEST, 100.0, 5)]
    names = [(0.0, "bad"), *reversed(WORDS)]
    shades = tuple(
        _Shade(least, f"{name}, from {least:.2f}" if least else name, colour)
        for (least, name), colour in zip(names, colours, strict=True)
    )
    return _Kind(title="How clear (STI)", shades=shades, written=lambda value: f"{value:.2f}"[1:])


def _loudness(level_dba: FloatArray, theme: Theme) -> _Kind:
    low = _LEVEL_STEP_DB * math.floor(float(level_dba.min()) / _LEVEL_STEP_DB)
    count = max(2, math.ceil((float(level_dba.max()) - low) / _LEVEL_STEP_DB))
    steps = low + _LEVEL_STEP_DB * np.arange(count)
    shades = tuple(
        _Shade(float(least), f"from {least:.0f}", colour)
        for least, colour in zip(steps, _blues(theme, count), strict=True)
    )
    return _Kind(title="How loud, dB(A)", shades=shades, written=lambda value: f"{value:.0f}")


def _blues(theme: Theme, count: int) -> list[int]:
    return [at_lightness(theme.strip, wanted) for wanted in np.linspace(100.0, _DARKEST, count)]


def _draw_map(
    canvas: skia.Canvas,
    hall: Hall,
    values: FloatArray,
    kind: _Kind,
    room: Rect,
    unit: float,
    theme: Theme,
) -> None:
    title = fit(kind.title, width=room.width, height=0.06 * unit, largest=0.036 * unit, lines=1, bold=True)
    draw_block(canvas, title, x=room.x, top=room.y, colour=theme.ink, align="left")
    above, below, side = 0.08 * unit, 0.14 * unit, 0.03 * unit
    scale = min((room.width - side) / hall.length_m, (room.height - above - below) / hall.width_m)
    plan = Rect(x=room.x + side, y=room.y + above, width=scale * hall.length_m, height=scale * hall.width_m)
    _draw_cells(canvas, values, kind, plan)
    outline = skia.Paint(
        AntiAlias=True, Color=theme.ink, Style=skia.Paint.kStroke_Style, StrokeWidth=0.004 * unit
    )
    canvas.drawRect(skia.Rect.MakeXYWH(plan.x, plan.y, plan.width, plan.height), outline)
    for row_m, words in ((hall.screen.first_row_m, "first row"), (hall.screen.last_row_m, "last row")):
        _draw_row(canvas, plan.x + scale * row_m, values.shape, plan, words, unit, theme)
    speaker = (plan.x + scale * hall.speaker.at_m[0], plan.y + scale * hall.speaker.at_m[1])
    turn = _turn(hall)
    reach = (speaker[0] + _TIP * unit * math.cos(turn), speaker[1] + _TIP * unit * math.sin(turn))
    _draw_figures(canvas, values, kind, plan, (speaker, reach), unit, theme)
    _draw_screen(canvas, plan, unit, theme)
    _draw_speaker(canvas, hall, speaker, unit, theme)
    _draw_key(
        canvas,
        kind.shades,
        Rect(x=plan.x, y=plan.bottom + 0.07 * unit, width=room.right - plan.x, height=0.06 * unit),
        unit,
        theme,
    )


def _draw_cells(canvas: skia.Canvas, values: FloatArray, kind: _Kind, plan: Rect) -> None:
    rows, columns = values.shape
    wide, tall = plan.width / columns, plan.height / rows
    for row, column in np.ndindex(rows, columns):
        value = round(float(values[row, column]), 2)  # as it is written
        shade = [each for each in kind.shades if each.least <= value or each is kind.shades[0]][-1]
        x, y = plan.x + column * wide, plan.y + row * tall
        paint = skia.Paint(Color=shade.colour)
        canvas.drawRect(skia.Rect.MakeXYWH(x, y, wide + 0.5, tall + 0.5), paint)


def _draw_figures(
    canvas: skia.Canvas,
    values: FloatArray,
    kind: _Kind,
    plan: Rect,
    covered: Sequence[tuple[float, float]],
    unit: float,
    theme: Theme,
) -> None:
    """Write each value in its cell, but for those under the speaker."""
    rows, columns = values.shape
    wide, tall = plan.width / columns, plan.height / rows
    for row, column in np.ndindex(rows, columns):
        x, y = plan.x + (column + 0.5) * wide, plan.y + (row + 0.5) * tall
        if min(math.dist((x, y), point) for point in covered) < _COVERED * unit:
            continue
        words = kind.written(float(values[row, column]))
        draw_numeral(canvas, words, x=x, y=y, size=_FIGURES * min(wide, tall), colour=theme.ink, bold=False)


def _draw_row(
    canvas: skia.Canvas,
    x: float,
    cells: tuple[int, ...],
    plan: Rect,
    words: str,
    unit: float,
    theme: Theme,
) -> None:
    """Draw a row of the class as a dash from cell to cell, with a gap wherever a figure may stand."""
    line = skia.Paint(AntiAlias=True, Color=theme.light_edge, StrokeWidth=0.004 * unit)
    rows, columns = cells
    tall = plan.height / rows
    dash = tall - 1.2 * _FIGURES * min(plan.width / columns, tall)
    for border in range(rows + 1):
        y = plan.y + border * tall
        canvas.drawLine(x, max(plan.y, y - dash / 2), x, min(plan.bottom, y + dash / 2), line)
    _draw_small(canvas, words, x, plan.bottom + 0.035 * unit, unit, theme, "centre")


def _draw_screen(canvas: skia.Canvas, plan: Rect, unit: float, theme: Theme) -> None:
    """Draw the screen on its wall, the left one, with its name along it."""
    tall = 0.3 * plan.height
    thick = 0.012 * unit
    paint = skia.Paint(AntiAlias=True, Color=theme.ink)
    canvas.drawRect(skia.Rect.MakeXYWH(plan.x - thick, plan.centre_y - tall / 2, thick, tall), paint)
    canvas.save()
    canvas.translate(plan.x - thick - 0.008 * unit, plan.centre_y)
    canvas.rotate(-90.0)
    _draw_small(canvas, "screen", 0.0, 0.0, unit, theme, "centre")
    canvas.restore()


def _turn(hall: Hall) -> float:
    """Return where the speaker points, in radians from the hall's length towards its width."""
    along, across = (hall.speaker.aim_m[axis] - hall.speaker.at_m[axis] for axis in (0, 1))
    return math.atan2(across, along)


def _draw_speaker(
    canvas: skia.Canvas, hall: Hall, at: tuple[float, float], unit: float, theme: Theme
) -> None:
    """Draw the speaker as a box with an arrow where it points; a pale rim keeps both clear of the colours."""
    canvas.save()
    canvas.translate(*at)
    canvas.rotate(math.degrees(_turn(hall)))
    half = _BOX * unit
    box = skia.Path.Polygon(
        [skia.Point(-half, -half), skia.Point(half, -half), skia.Point(half, half), skia.Point(-half, half)],
        True,
    )
    tip = skia.Path.Polygon(
        [skia.Point(1.6 * half, -half), skia.Point(3.4 * half, 0.0), skia.Point(1.6 * half, half)], True
    )
    rim = skia.Paint(
        AntiAlias=True,
        Color=theme.face,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=0.012 * unit,
        StrokeJoin=skia.Paint.kRound_Join,
    )
    ink = skia.Paint(AntiAlias=True, Color=theme.light_edge)
    for shape in (box, tip):
        canvas.drawPath(shape, rim)
    for shape in (box, tip):
        canvas.drawPath(shape, ink)
    canvas.restore()


def _draw_key(canvas: skia.Canvas, shades: Sequence[_Shade], room: Rect, unit: float, theme: Theme) -> None:
    each = room.width / len(shades)
    side = 0.03 * unit
    for number, shade in enumerate(shades):
        x = room.x + number * each
        patch = skia.Rect.MakeXYWH(x, room.y, side, side)
        canvas.drawRect(patch, skia.Paint(Color=shade.colour))
        rim = skia.Paint(
            AntiAlias=True, Color=theme.ink, Style=skia.Paint.kStroke_Style, StrokeWidth=0.002 * unit
        )
        canvas.drawRect(patch, rim)
        words = fit(
            shade.words, width=each - side - 0.02 * unit, height=0.07 * unit, largest=0.024 * unit, lines=2
        )
        draw_block(canvas, words, x=x + side + 0.008 * unit, top=room.y, colour=theme.ink, align="left")


def _draw_advice(canvas: skia.Canvas, told: HallReport, room: Rect, unit: float, theme: Theme) -> None:
    """Write what the two maps show in words: what is heard, and where the speaker belongs."""
    y = room.y
    mark = f"The box with the arrow is the speaker. The class listens at {told.noise_dba:.0f} dB(A)."
    for text in (mark, *(each.text for each in told.advice if each.topic in {"hearing", "speaker"})):
        block = fit(text, width=room.width, height=0.07 * unit, largest=0.03 * unit, lines=2)
        draw_block(canvas, block, x=room.x, top=y, colour=theme.ink, align="left")
        y += block.height + 0.016 * unit


def _draw_small(
    canvas: skia.Canvas, words: str, x: float, baseline: float, unit: float, theme: Theme, align: Align
) -> None:
    draw_line(canvas, words, x=x, baseline=baseline, size=0.026 * unit, colour=theme.ink, align=align)

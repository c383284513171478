"""Charts: a lesson's activity over time, and the record's ladder and mix-ups over weeks."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import accumulate, pairwise
from typing import Final

from caller.clock.ladder import STEPS
from caller.moves.dose import Dose, Spell, effort_met
from caller.moves.effort import Intensity, intensity
from caller.record import LessonKept
from caller.record.knowledge import DAY_S, Estimate, Knowledge, know
from caller.record.telling import mixup_title, sentences
from caller.screen import Rect
from caller.screen.layout import unit_of
from caller.screen.skia_door import skia
from caller.screen.text import Align, draw_block, draw_line, fit, width_of
from caller.screen.theme import LIGHT, Theme, at_lightness, lightness

_HIGHEST_MET: Final = 8.0
_LETTERS: Final = 0.03  # in units
# The share of the strip's colour: ten of L* or more apart, so that a page printed in grey tells them apart.
_SHADES: Final[dict[Intensity, float]] = {"rest": 0.18, "light": 0.4, "moderate": 0.68, "vigorous": 1.0}


def draw_dose(
    canvas: skia.Canvas,
    title: str,
    spells: Sequence[Spell],
    dose: Dose,
    *,
    age_y: float,
    width: float,
    height: float,
    theme: Theme = LIGHT,
) -> None:
    """Draw the efforts of `spells` in order, and what they come to, on a whole picture."""
    canvas.clear(theme.background)
    unit = unit_of(width, height)
    margin = 0.07 * unit
    head = fit(title, width=width - 2 * margin, height=0.1 * unit, largest=0.06 * unit, bold=True)
    draw_block(canvas, head, x=margin, top=margin, colour=theme.ink, align="left")
    words = fit(dose.in_words(), width=width - 2 * margin, height=0.1 * unit, largest=0.04 * unit, lines=2)
    draw_block(canvas, words, x=margin, top=margin + 0.1 * unit, colour=theme.ink, align="left")
    left, top = margin + 0.09 * unit, margin + 0.27 * unit
    size = _LETTERS * unit
    beside = max(width_of(line, size, False) for _, _, *lines in _limits(dose) for line in lines) + size
    right = width - margin - beside
    room = Rect(x=left, y=top, width=right - left, height=height - top - margin - 0.08 * unit)
    _draw_efforts(canvas, spells, dose, room, age_y, theme)
    _draw_scale(canvas, dose, room, unit, theme)


def _limits(dose: Dose) -> tuple[tuple[float, str, str], ...]:
    """Return where an intensity begins, its name, and that in words: they stand beside the chart's lines."""
    cut = dose.cut
    return tuple(
        (met, name, f"from {met:g} METy")
        for name, met in (("moderate", cut.moderate_met), ("vigorous", cut.vigorous_met))
    )


def _draw_efforts(
    canvas: skia.Canvas, spells: Sequence[Spell], dose: Dose, room: Rect, age_y: float, theme: Theme
) -> None:
    ends = list(accumulate(spell.seconds for spell in spells))
    for spell, end_s in zip(spells, ends, strict=True):
        met = effort_met(spell, age_y=age_y)
        share = _SHADES[intensity(met, dose.cut)]
        x = room.x + room.width * (end_s - spell.seconds) / dose.total_s
        bar_height = room.height * min(met, _HIGHEST_MET) / _HIGHEST_MET
        bar = skia.Rect.MakeXYWH(
            x, room.y + room.height - bar_height, room.width * spell.seconds / dose.total_s, bar_height
        )
        paint = skia.Paint(Color=theme.strip)
        paint.setAlphaf(share)
        canvas.drawRect(bar, paint)


def _draw_scale(canvas: skia.Canvas, dose: Dose, room: Rect, unit: float, theme: Theme) -> None:
    """Draw the two lines of the cut with their values, and minutes along the foot."""
    size = _LETTERS * unit
    line = skia.Paint(AntiAlias=True, Color=theme.ink, StrokeWidth=0.003 * unit)
    foot, right = room.y + room.height, room.x + room.width
    canvas.drawLine(room.x, foot, right, foot, line)
    for met, *lines in _limits(dose):
        y = foot - room.height * met / _HIGHEST_MET
        canvas.drawLine(room.x, y, right, y, line)
        for baseline, words in zip((y - 0.1 * size, y + 1.1 * size), lines, strict=True):
            x = right + 0.5 * size
            draw_line(canvas, words, x=x, baseline=baseline, size=size, colour=theme.ink, align="left")
    minutes = int(dose.total_s // 60)
    for minute in range(0, minutes + 1, 1 if minutes <= 12 else 5):
        x = room.x + room.width * minute * 60 / dose.total_s
        draw_line(canvas, str(minute), x=x, baseline=foot + 1.5 * size, size=size, colour=theme.ink)
    x = room.x - 0.02 * unit
    draw_line(canvas, "min", x=x, baseline=foot + 1.5 * size, size=size, colour=theme.ink, align="right")


_MOST_MIXUPS: Final = 4
_LINES_ON_PALE, _LINES_ON_DARK = (14.0, 29.0, 44.0, 59.0), (96.0, 79.0, 62.0, 45.0)  # their L*
_DASHES: Final = ((), (12.0, 6.0), (3.0, 5.0), (14.0, 5.0, 3.0, 5.0))  # lines differ without colour


def draw_record(
    canvas: skia.Canvas,
    class_name: str,
    lessons: Sequence[LessonKept],
    knowledge: Knowledge,
    *,
    width: float,
    height: float,
    theme: Theme = LIGHT,
) -> None:
    """Draw what a class has shown on a whole page.

    Parameters
    ----------
    lessons
        The class's lessons, the earliest first.
    knowledge
        What follows from them today.
    """
    canvas.clear(theme.background)
    unit = unit_of(width, height)
    margin = 0.06 * unit
    head = fit(
        class_name or "This class",
        width=width - 2 * margin,
        height=0.1 * unit,
        largest=0.07 * unit,
        bold=True,
    )
    draw_block(canvas, head, x=margin, top=margin, colour=theme.ink, align="left")
    top = margin + 0.11 * unit
    foot = 0.18 * unit
    half = (width - 3 * margin) / 2
    ladder = Rect(x=margin, y=top, width=half, height=height - top - foot - margin)
    _draw_ladder(canvas, knowledge, ladder, unit, theme)
    weeks = Rect(x=2 * margin + half, y=top, width=half, height=ladder.height)
    _draw_weeks(canvas, lessons, knowledge, weeks, unit, theme)
    y = height - foot
    for sentence in sentences(class_name, lessons, knowledge):
        block = fit(sentence, width=width - 2 * margin, height=0.06 * unit, largest=0.03 * unit, lines=2)
        draw_block(canvas, block, x=margin, top=y, colour=theme.ink, align="left")
        y += block.height + 0.02 * unit


def _draw_ladder(canvas: skia.Canvas, knowledge: Knowledge, room: Rect, unit: float, theme: Theme) -> None:
    """Draw the steps from the foot up; bars are the shares that know, lines their uncertainty."""
    _draw_heading(canvas, "Who can read what", room, unit, theme)
    inside = Rect(x=room.x, y=room.y + 0.08 * unit, width=room.width, height=room.height - 0.13 * unit)
    each = inside.height / len(STEPS)
    names = 0.42 * room.width
    scale = Rect(x=room.x + names, y=inside.y, width=room.width - names, height=inside.height)
    _draw_per_cents(canvas, scale, unit, theme)
    for place, step in enumerate(STEPS):
        middle = inside.bottom - (place + 0.5) * each
        met = step.code in knowledge.half_life_days
        label = fit(step.name, width=names - 0.03 * unit, height=0.85 * each, largest=0.024 * unit, lines=2)
        draw_block(
            canvas,
            label,
            x=scale.x - 0.02 * unit,
            top=middle - label.height / 2,
            colour=theme.ink if met else theme.quiet,
            align="right",
        )
        _draw_estimate(canvas, knowledge.steps[step.code], scale, middle, 0.5 * each, theme, met=met)


def _draw_estimate(
    canvas: skia.Canvas, estimate: Estimate, scale: Rect, y: float, thick: float, theme: Theme, *, met: bool
) -> None:
    """Draw a share as a bar with its uncertainty; a step that was never tallied is an outline."""
    bar = skia.Rect.MakeXYWH(scale.x, y - thick / 2, estimate.mean * scale.width, thick)
    paint = skia.Paint(AntiAlias=True, Color=theme.strip if met else theme.ghost)
    if not met:
        paint.setStyle(skia.Paint.kStroke_Style)
        paint.setStrokeWidth(0.06 * thick)
    canvas.drawRect(bar, paint)
    left, right = (scale.x + share * scale.width for share in (estimate.low, estimate.high))
    for colour, stroke in (
        (theme.background, 0.24 * thick),
        (theme.ink if met else theme.ghost, 0.1 * thick),
    ):
        line = skia.Paint(AntiAlias=True, Color=colour, StrokeWidth=stroke)
        canvas.drawLine(left, y, right, y, line)
        for end in (left, right):
            canvas.drawLine(end, y - 0.25 * thick, end, y + 0.25 * thick, line)


def _draw_weeks(
    canvas: skia.Canvas,
    lessons: Sequence[LessonKept],
    knowledge: Knowledge,
    room: Rect,
    unit: float,
    theme: Theme,
) -> None:
    """Draw how many showed each mix-up after every lesson; the commonest today first."""
    _draw_heading(canvas, "What is mixed up, lesson by lesson", room, unit, theme)
    names = sorted(knowledge.mixups, key=lambda name: -knowledge.mixups[name].mean)[:_MOST_MIXUPS]
    told = [lesson for lesson in lessons if any(kept.tally for kept in lesson.rounds)]
    if not names:
        note = fit("Nothing was tallied yet.", width=room.width, height=0.1 * unit, largest=0.03 * unit)
        draw_block(canvas, note, x=room.x, top=room.y + 0.12 * unit, colour=theme.quiet, align="left")
        return
    key_height = 0.055 * unit * len(names)
    chart = Rect(
        x=room.x + 0.07 * unit,
        y=room.y + 0.08 * unit,
        width=room.width - 0.09 * unit,
        height=room.height - 0.16 * unit - key_height,
    )
    _draw_shares(canvas, chart, unit, theme)
    history = [
        know([each for each in told if each.began_s <= lesson.began_s], lesson.rounds[-1].at_s)
        for lesson in told
    ]
    first_s, last_s = told[0].began_s, told[-1].began_s
    places = [
        chart.x + chart.width * ((lesson.began_s - first_s) / (last_s - first_s) if last_s > first_s else 0.5)
        for lesson in told
    ]
    _draw_dates(canvas, told, places, chart, unit, theme)
    colours = colours_of_lines(theme)
    for number, name in enumerate(names):
        line = skia.Paint(
            AntiAlias=True,
            Color=colours[number],
            Style=skia.Paint.kStroke_Style,
            StrokeWidth=0.006 * unit,
        )
        if _DASHES[number]:
            line.setPathEffect(
                skia.DashPathEffect.Make([0.0015 * unit * dash for dash in _DASHES[number]], 0.0)
            )
        dot = skia.Paint(AntiAlias=True, Color=colours[number])
        points = [
            (x, chart.bottom - chart.height * known.mixups[name].mean)
            for x, known in zip(places, history, strict=True)
            if name in known.mixups
        ]
        for here, there in pairwise(points):
            canvas.drawLine(*here, *there, line)
        for point in points:
            canvas.drawCircle(*point, 0.009 * unit, dot)
        y = chart.bottom + 0.09 * unit + number * 0.055 * unit
        canvas.drawLine(room.x, y, room.x + 0.09 * unit, y, line)
        canvas.drawCircle(room.x + 0.045 * unit, y, 0.009 * unit, dot)
        label = fit(
            mixup_title(name),
            width=room.width - 0.12 * unit,
            height=0.05 * unit,
            largest=0.028 * unit,
            lines=1,
        )
        draw_block(
            canvas, label, x=room.x + 0.11 * unit, top=y - label.height / 2, colour=theme.ink, align="left"
        )


def colours_of_lines(theme: Theme) -> tuple[int, ...]:
    """Return the colours of a chart's lines: in grey too each differs from every other."""
    hues = (theme.strip, theme.light_edge, theme.middle.edge, theme.tick)
    wanted = _LINES_ON_PALE if lightness(theme.background) > 50.0 else _LINES_ON_DARK
    return tuple(at_lightness(hue, light) for hue, light in zip(hues, wanted, strict=True))


def _draw_heading(canvas: skia.Canvas, words: str, room: Rect, unit: float, theme: Theme) -> None:
    block = fit(words, width=room.width, height=0.05 * unit, largest=0.036 * unit, lines=1, bold=True)
    draw_block(canvas, block, x=room.x, top=room.y, colour=theme.ink, align="left")


def _draw_per_cents(canvas: skia.Canvas, scale: Rect, unit: float, theme: Theme) -> None:
    for share in (0.0, 0.5, 1.0):
        x = scale.x + share * scale.width
        canvas.drawLine(x, scale.y, x, scale.bottom, _thin(unit, theme))
        align: Align = "left" if share == 0 else "right" if share == 1 else "centre"
        _draw_small(canvas, f"{share:.0%}", x, scale.bottom + 0.035 * unit, unit, theme, align)


def _draw_shares(canvas: skia.Canvas, chart: Rect, unit: float, theme: Theme) -> None:
    for share in (0.0, 0.5, 1.0):
        y = chart.bottom - share * chart.height
        canvas.drawLine(chart.x, y, chart.right, y, _thin(unit, theme))
        _draw_small(canvas, f"{share:.0%}", chart.x - 0.012 * unit, y + 0.009 * unit, unit, theme, "right")


def _draw_dates(
    canvas: skia.Canvas,
    lessons: Sequence[LessonKept],
    places: Sequence[float],
    chart: Rect,
    unit: float,
    theme: Theme,
) -> None:
    """Write the first and the last day, and how many weeks lie between them."""
    y = chart.bottom + 0.035 * unit
    days = [datetime.fromtimestamp(lesson.began_s).astimezone().date().isoformat() for lesson in lessons]
    if len(days) == 1:
        _draw_small(canvas, days[0], places[0], y, unit, theme, "centre")
        return
    _draw_small(canvas, days[0], places[0], y, unit, theme, "left")
    _draw_small(canvas, days[-1], places[-1], y, unit, theme, "right")
    weeks = round((lessons[-1].began_s - lessons[0].began_s) / (7 * DAY_S))
    if weeks:
        _draw_small(canvas, f"{weeks} weeks", (places[0] + places[-1]) / 2, y, unit, theme, "centre")


def _draw_small(
    canvas: skia.Canvas, words: str, x: float, baseline: float, unit: float, theme: Theme, align: Align
) -> None:
    draw_line(canvas, words, x=x, baseline=baseline, size=0.024 * unit, colour=theme.quiet, align=align)


def _thin(unit: float, theme: Theme) -> skia.Paint:
    return skia.Paint(AntiAlias=True, Color=theme.strip_track, StrokeWidth=0.002 * unit)

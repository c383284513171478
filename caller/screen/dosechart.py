"""A lesson's activity as a chart: effort over time, with the lines where moderate and vigorous begin."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from typing import Final

from caller.moves.dose import Dose, Spell, effort_met
from caller.moves.effort import Intensity, intensity
from caller.screen.layout import unit_of
from caller.screen.rect import Rect
from caller.screen.skia_door import skia
from caller.screen.text import draw_block, draw_line, fit, width_of
from caller.screen.theme import LIGHT, Theme

_HIGHEST_MET: Final = 8.0
_LETTERS: Final = 0.03  # in units
_SHADES: Final[dict[Intensity, float]] = {"rest": 0.15, "light": 0.3, "moderate": 0.65, "vigorous": 1.0}


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

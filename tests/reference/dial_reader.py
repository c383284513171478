"""An independent clock reader: pixels in, hand angles and time out.

It shares nothing with the drawing code and is told nothing about the hands' lengths or widths. All it
assumes is what any wall clock has: one round rim, a long hand and a short hand on its middle, twelve at
the top, and ink that stands out from the ground. A numeral may stand on a hand: where numerals are, it does
not look.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_ANGLES = 720  # half a degree
_RADII = np.arange(0.20, 0.885, 0.01)
_HAIR = 0.045  # of face between two hands of which one lies over the other, in radii
_NEAR_DEG = 14.0  # nearer hands are taken together
_CORE = (_RADII >= 0.22) & (_RADII <= 0.40)  # where both hands are, clear of the hub and of their ends


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What was read; the time is None where the hands disagree."""

    hour_deg: float
    minute_deg: float
    time: tuple[int, int] | None


def read_dial(pixels: NDArray[np.uint8], *, tolerance_deg: float = 4.0) -> Reading:
    """Read the one dial in a picture of shape (height, width, 3 or more)."""
    ink = _ink(pixels)
    polar = _polar(ink)
    minute_deg = _longest_hand(polar)
    hour_deg = _other_hand(polar[_CORE], _RADII[_CORE], minute_deg)
    minute = round(minute_deg / 6) % 60
    hour = round((hour_deg - minute / 2) / 30) % 12
    apart = max(_turn(minute_deg, 6 * minute), _turn(hour_deg, 30 * hour + minute / 2))
    time = (hour or 12, minute) if apart <= tolerance_deg else None
    return Reading(hour_deg=hour_deg, minute_deg=minute_deg, time=time)


def _turn(a: float, b: float) -> float:
    return abs((a - b + 180.0) % 360.0 - 180.0)


def _ink(pixels: NDArray[np.uint8]) -> Array:
    """Scale brightness so that the ground is 0 and the strongest ink is 1."""
    grey = pixels[..., :3].astype(np.float64).mean(axis=2)
    away = np.abs(grey - grey[0, 0])
    return np.asarray(np.clip(away / np.percentile(away, 99.5), 0.0, 1.0))


def _polar(ink: Array) -> Array:
    """Unroll the dial: rows are shares of the radius, columns angles clockwise from the top."""
    rows = np.flatnonzero((ink > 0.5).any(axis=1))
    columns = np.flatnonzero((ink > 0.5).any(axis=0))
    top, bottom, left, right = rows[0], rows[-1], columns[0], columns[-1]
    centre_y, centre_x = (top + bottom) / 2, (left + right) / 2
    radius = (bottom - top + right - left + 2) / 4
    turn = np.arange(_ANGLES) * 2 * np.pi / _ANGLES
    x = centre_x + radius * np.outer(_RADII, np.sin(turn))
    y = centre_y - radius * np.outer(_RADII, np.cos(turn))
    x0, y0 = np.floor(x).astype(int), np.floor(y).astype(int)
    fx, fy = x - x0, y - y0
    over = ink[y0, x0] * (1 - fx) + ink[y0, x0 + 1] * fx
    under = ink[y0 + 1, x0] * (1 - fx) + ink[y0 + 1, x0 + 1] * fx
    return np.asarray(over * (1 - fy) + under * fy)


def _longest_hand(polar: Array) -> float:
    """Find the direction in which ink goes all the way out, to a fraction of a degree."""
    stretches = [*np.array_split(polar[_RADII <= 0.52], 4), polar[(_RADII > 0.835) & (_RADII <= 0.875)]]
    score = np.prod([stretch.mean(axis=0) for stretch in stretches], axis=0)
    peak = int(np.argmax(score))
    near = np.arange(peak - 7, peak + 8)
    weight = score[near % _ANGLES] ** 2
    return float((near * weight).sum() / weight.sum() * 360.0 / _ANGLES) % 360.0


def _runs(row: Array, start_deg: float, gap_deg: float) -> list[tuple[float, float]]:
    """List the runs of ink round the dial by their ends in degrees, the one at `start_deg` first.

    Gaps up to `gap_deg` are filled.
    """
    to_deg = 360.0 / _ANGLES
    inked = row > 0.5
    # Begin in the middle of a clear stretch, so that no run is cut in two where the circle closes.
    clear = np.convolve(np.concatenate([inked, inked]), np.ones(_ANGLES // 16), "valid")
    begin = int(np.argmin(clear[:_ANGLES])) + _ANGLES // 32
    where = np.flatnonzero(np.roll(inked, -begin))
    parts = np.split(where, np.flatnonzero(np.diff(where) > gap_deg / to_deg) + 1)
    runs = []
    for part in parts:
        left, right = (part[0] - 0.5 + begin) * to_deg, (part[-1] + 0.5 + begin) * to_deg
        turns = round(((left + right) / 2 - start_deg) / 360.0)
        runs.append((left - 360.0 * turns, right - 360.0 * turns))
    return sorted(runs, key=lambda run: max(run[0] - start_deg, start_deg - run[1], 0.0))


def _other_hand(core: Array, radii: Array, minute_deg: float) -> float:
    """Find the short hand: a second run of ink, or what makes the run round the long one too wide."""
    outer, at = core[radii > 0.31], radii[radii > 0.31]
    gaps = np.degrees(_HAIR / at)
    runs = [_runs(row, minute_deg, gap) for row, gap in zip(outer, gaps, strict=True)]
    seconds = [run[1] for run in runs if len(run) > 1]
    if len(seconds) > 0.8 * len(outer):
        middles = np.radians([(left + right) / 2 for left, right in seconds])
        return float(np.degrees(np.angle(np.exp(1j * middles).sum()))) % 360.0
    # The hands touch. An edge of a straight hand of half-width w stands at its angle ± asin(w / radius). That
    # is nearly a line in 1 / radius, which meets the axis at the hand's own angle; its slope tells
    # w, and with it the bend.
    together = np.array([_runs(row, minute_deg, _NEAR_DEG)[0] for row in core])
    before, after = minute_deg - together[:, 0].mean(), together[:, 1].mean() - minute_deg
    if abs(before - after) < 1.0:
        return minute_deg % 360.0
    edge = together[:, 0] if before > after else together[:, 1]
    bend = np.zeros_like(radii)
    for _ in range(3):
        width_deg, hand_deg = np.polyfit(1.0 / radii, edge - bend, 1)
        share = np.radians(width_deg) / radii
        bend = np.degrees(np.arcsin(np.clip(share, -1.0, 1.0)) - share)
    return float(hand_deg) % 360.0

"""Pictures for paper: a plain dial, wrong readings ranked with their reasons, and a move as a filmstrip."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from caller.clock import ClockTime
from caller.clock.said_and_shown import GhostDial, Numerals
from caller.clock.wrong import Candidate
from caller.moves.poses import Joint, animation, loop, pose
from caller.moves.poses.tables import SEAT_HEIGHT
from caller.screen import Rect
from caller.screen.cues import draw_hands_and_cues
from caller.screen.dial import draw_dial, draw_face
from caller.screen.figure import LOOKS, FigureColours, Look, draw_figure, seat_reach
from caller.screen.scene import ActiveCue
from caller.screen.skia_door import skia
from caller.screen.text import draw_block, fit
from caller.screen.theme import LIGHT, Theme


def draw_plain_dial(
    canvas: skia.Canvas,
    time: ClockTime | None,
    *,
    size: float,
    theme: Theme = LIGHT,
    numerals: Numerals = "arabic",
) -> None:
    """Draw one dial that fills a square of `size`, on nothing; without hands where `time` is None."""
    centre = (size / 2, size / 2)
    draw_dial(canvas, time, centre=centre, radius=0.49 * size, theme=theme, numerals=numerals)


def draw_ranking(
    canvas: skia.Canvas,
    time: ClockTime,
    candidates: Sequence[Candidate],
    *,
    said: str,
    reasons: Sequence[str],
    width: float,
    height: float,
    theme: Theme = LIGHT,
    most: int = 6,
) -> None:
    """Draw a time, why it is that time, and its best wrong readings, each with why it is offered.

    Parameters
    ----------
    candidates
        As `caller.clock.wrong.rank` gives them, best first; the first `most` are drawn.
    said
        The time in words.
    reasons
        The sentences of the reason, read off the hands.
    """
    canvas.clear(theme.background)
    unit = min(height, 0.62 * width)
    margin = 0.05 * unit
    left = Rect(x=margin, y=margin, width=0.33 * width - margin, height=height - 2 * margin)
    _draw_true(canvas, time, said, reasons, left, unit, theme)
    shown = candidates[:most]
    right = Rect(
        x=left.right + margin,
        y=margin,
        width=width - left.right - 2 * margin,
        height=height - 2 * margin,
    )
    gap = 0.02 * unit
    # Always room for the same number of rows, so that one candidate is not blown up to the page.
    each = (right.height - (most - 1) * gap) / most
    for n, candidate in enumerate(shown):
        room = Rect(x=right.x, y=right.y + n * (each + gap), width=right.width, height=each)
        _draw_candidate(canvas, time, candidate, room, unit, theme)


def _draw_true(
    canvas: skia.Canvas,
    time: ClockTime,
    said: str,
    reasons: Sequence[str],
    room: Rect,
    unit: float,
    theme: Theme,
) -> None:
    """Draw the dial in question, its reading, and the reason under it."""
    radius = min(room.width / 2, 0.25 * room.height)
    draw_dial(canvas, time, centre=(room.centre_x, room.y + radius), radius=radius, theme=theme)
    top = room.y + 2 * radius + 0.05 * unit
    for text, largest, bold in ((str(time), 0.11 * unit, True), (said, 0.045 * unit, False)):
        block = fit(text, width=room.width, height=0.13 * unit, largest=largest, lines=2, bold=bold)
        draw_block(canvas, block, x=room.centre_x, top=top, colour=theme.ink)
        top += block.height + 0.02 * unit
    top += 0.02 * unit
    block = fit(
        " ".join(reasons),
        width=room.width,
        height=room.bottom - top,
        largest=0.032 * unit,
        lines=14,
    )
    draw_block(canvas, block, x=room.x, top=top, colour=theme.ink, align="left")


def _draw_candidate(
    canvas: skia.Canvas,
    time: ClockTime,
    candidate: Candidate,
    room: Rect,
    unit: float,
    theme: Theme,
) -> None:
    """Draw the true dial with the ghost of a wrong reading, and why it is offered."""
    box = skia.Rect.MakeXYWH(room.x, room.y, room.width, room.height)
    canvas.drawRoundRect(box, 0.02 * unit, 0.02 * unit, skia.Paint(AntiAlias=True, Color=theme.face))
    radius = 0.45 * room.height
    centre = (room.x + 0.6 * room.height, room.centre_y)
    draw_face(canvas, centre=centre, radius=radius, theme=theme)
    ghost = ActiveCue(cue=GhostDial(time=candidate.time), progress=1.0)
    draw_hands_and_cues(canvas, time, [ghost], centre=centre, radius=radius, theme=theme)
    x = room.x + 1.25 * room.height
    reading = fit(
        str(candidate.time),
        width=1.1 * room.height,
        height=0.5 * room.height,
        largest=0.07 * unit,
        lines=1,
        bold=True,
    )
    top = room.y + (room.height - reading.height) / 2
    draw_block(canvas, reading, x=x, top=top, colour=theme.ink, align="left")
    x += 1.2 * room.height
    why = fit(
        candidate.why,
        width=room.right - x - 0.03 * unit,
        height=0.86 * room.height,
        largest=0.03 * unit,
        lines=5,
    )
    top = room.y + (room.height - why.height) / 2
    draw_block(canvas, why, x=x, top=top, colour=theme.ink, align="left")


_PAPER: Final = 0xFFFFFFFF
_FLOOR: Final = 0xFFB9BDC4
_INK: Final = 0xFF1D1F24
_SHAPE: Final = 1.45

# Around the joints: limbs and head.
_FLESH: Final = 0.06
_HEAD: Final = 0.13


def filmstrip(
    slug: str, *, frames: int = 6, width: int = 900, silhouette: bool = False, look: Look = LOOKS[0]
) -> skia.Image:
    """Return `frames` moments of the move `slug` side by side, `width` pixels wide.

    With `silhouette`, everything but the outline of the whole figure is hidden.
    """
    cell = width / frames
    left, right, up, down = _extent(slug)
    strip_height = round(cell * _SHAPE)
    # Every move is as large as its cell allows, in width or in height.
    height = min(cell * 0.96 / (left + right), strip_height / (max(up, 1.15) + down))
    ground = strip_height - down * height
    surface = skia.Surface(width, strip_height)
    canvas = surface.getCanvas()
    canvas.clear(_PAPER)
    canvas.drawLine(0, ground, width, ground, skia.Paint(Color=_FLOOR, StrokeWidth=1.5))
    colours = FigureColours(silhouette=_INK) if silhouette else FigureColours()
    moving = animation(slug)
    for frame in range(frames):
        draw_figure(
            canvas,
            pose(slug, frame / frames),
            view=moving.view,
            centre_x=cell * (frame + 0.5) + height * (left - right) / 2,
            ground_y=ground,
            height=height,
            look=look,
            colours=colours,
        )
    return surface.makeImageSnapshot()


def _extent(slug: str) -> tuple[float, float, float, float]:
    """Return how far a move reaches left, right, up and down of its place on the floor, in body units."""
    moving = animation(slug)
    seen = moving.view.project(loop(slug))
    head = seen[:, Joint.HEAD]
    behind, before = seat_reach(moving.view, SEAT_HEIGHT) if moving.seated else (0.0, 0.0)
    left = max(_FLESH - seen[..., 0].min(), _HEAD - head[:, 0].min(), behind)
    right = max(_FLESH + seen[..., 0].max(), _HEAD + head[:, 0].max(), before)
    up = max(_FLESH + seen[..., 1].max(), _HEAD + head[:, 1].max())
    return float(left), float(right), float(up), float(_FLESH - seen[..., 1].min())

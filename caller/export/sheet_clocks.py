"""One clock on the sheet: its dials, its lanes with their moves, and the words to say."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import groupby
from typing import Any, Literal

import numpy as np

from caller.clock.said_and_shown import Numerals
from caller.deciding import LessonPart
from caller.export.sheet_text import (
    INK,
    PAPER,
    QUIET,
    RULE,
    SHADE,
    Style,
    draw_labelled,
    draw_paragraph,
    labelled_height,
    stroke,
)
from caller.languages.folders import table
from caller.moves import poses
from caller.runsheet import Board, Call, CallKind, Lane, RunSheet
from caller.runsheet.forms import clock
from caller.screen import Rect
from caller.screen.dial import draw_dial
from caller.screen.drawings import draw_arrow, draw_tick
from caller.screen.figures_on_stage import STEPS, FigureDoing, alone, draw_performer, look_for
from caller.screen.skia_door import skia
from caller.screen.text import draw_block, fit, width_of

SheetWords = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperClock:
    """One clock of the lesson as a teacher would lead it from paper.

    Attributes
    ----------
    start_s
        From the lesson's start.
    board
        As it stands once the answer is out.
    """

    start_s: float
    part: LessonPart
    round: int | None
    board: Board
    think_s: int | None
    question: str
    answer: str
    why: str
    together: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartStart:
    """When a part of the lesson begins, or the lesson ends."""

    part: LessonPart | Literal["end"]
    start_s: float


def sheet_words(language: str) -> SheetWords:
    """Return what the sheet says around the lesson's own words."""
    return dict(table(language, "sheet"))


def blocks_of(run_sheet: RunSheet, starts_s: Sequence[float]) -> tuple[PaperClock, ...]:
    """Return every clock of a lesson; `starts_s` holds the start of each call."""
    timed = zip(run_sheet.calls, starts_s, strict=False)
    groups = groupby(timed, key=lambda each: (each[0].part, each[0].round))
    return tuple(
        _block(calls, start_s=members[0][1])
        for (part, _), members in ((key, list(group)) for key, group in groups)
        if part not in ("opening", "close") and (calls := [call for call, _ in members])
    )


def parts_of_lesson(run_sheet: RunSheet, starts_s: Sequence[float]) -> tuple[PartStart, ...]:
    """Return when each part begins, and last when the lesson ends; `starts_s` ends with the end."""
    found: list[PartStart] = []
    for call, start_s in zip(run_sheet.calls, starts_s, strict=False):
        if not found or found[-1].part != call.part:
            found.append(PartStart(part=call.part, start_s=start_s))
    return (*found, PartStart(part="end", start_s=starts_s[-1]))


def words_of_part(run_sheet: RunSheet, part: LessonPart) -> str:
    """Return all that is said in one part of the lesson, each sentence once."""
    lines = [line for call in run_sheet.calls if call.part == part for line in call.lines]
    return _joined(line.written for line in lines if line.written and line.count is None)


def _joined(sentences: Iterable[str]) -> str:
    """Join sentences, each once and each with an end."""
    return " ".join(each if each[-1] in ".!?…" else f"{each}." for each in dict.fromkeys(sentences))


def _block(calls: Sequence[Call], *, start_s: float) -> PaperClock:
    answered = [call for call in calls if call.kind in ("answer", "reason")]
    counted = [call.countdown.seconds for call in calls if call.countdown is not None]
    return PaperClock(
        start_s=start_s,
        part=calls[0].part,
        round=calls[0].round,
        board=(answered or calls)[-1].board,
        think_s=sum(counted) if counted else None,
        question=_words(calls, "question"),
        answer=_words(calls, "answer"),
        why=_words(calls, "reason"),
        together=_words(calls, "catch-up"),
    )


def _words(calls: Sequence[Call], kind: CallKind) -> str:
    """Return what calls of one kind say, without the numbers that count a move."""
    lines = [line for call in calls if call.kind == kind for line in call.lines]
    return _joined(line.written for line in lines if line.written and line.count is None)


_WORDS = Style(size=8.2)
_HEAD = Style(size=9.5, bold=True)
_PAD = 5.0
_DIAL = 70.0
_LANE = 34.0
_QUARTERS = frozenset((3, 6, 9, 12))  # all twelve could not be read in so small a dial


def block_height(block: PaperClock, words: SheetWords, width: float) -> float:
    """Return how tall a clock stands at this width."""
    inside = width - 2 * _PAD
    said = sum(labelled_height(label, text, inside, _WORDS) for label, text in _said(block, words))
    return 2 * _PAD + _HEAD.pitch + _shown_height(block) + 3.0 + said


def draw_clock_block(canvas: skia.Canvas, block: PaperClock, words: SheetWords, room: Rect) -> None:
    """Draw a clock in its room."""
    canvas.drawRect(skia.Rect.MakeXYWH(room.x, room.y, room.width, room.height), stroke(0.6, RULE))
    inside = room.inset(_PAD)
    _draw_head(canvas, block, words, inside)
    top = inside.y + _HEAD.pitch
    shown = Rect(x=inside.x, y=top, width=inside.width, height=_shown_height(block))
    _draw_shown(canvas, block, words, shown)
    top = shown.bottom + 3.0
    for label, text in _said(block, words):
        top = draw_labelled(canvas, label, text, x=inside.x, top=top, width=inside.width, style=_WORDS)


def _said(block: PaperClock, words: SheetWords) -> tuple[tuple[str, str], ...]:
    return (
        ("?", block.question),
        (f"{words['answer']}:", block.answer),
        (f"{words['why']}:", block.why),
        (f"{words['together']}:", block.together),
    )


def _shown_height(block: PaperClock) -> float:
    return max(_DIAL, _LANE * len(block.board.lanes))


def _draw_head(canvas: skia.Canvas, block: PaperClock, words: SheetWords, room: Rect) -> None:
    title = (
        words["clock"].format(n=block.round) if block.round is not None else words[block.part].capitalize()
    )
    if block.part == "calm":
        title += f" ({words['calm']})"
    draw_paragraph(canvas, title, x=room.x, top=room.y, width=room.width, style=_HEAD)
    notes = clock(block.start_s)
    if block.think_s is not None:
        notes += f" · {words['think'].format(s=block.think_s)}"
    style = Style(size=8.0, colour=QUIET)
    x = room.right - width_of(notes, style.size)
    draw_paragraph(canvas, notes, x=x, top=room.y + 1.5, width=room.width, style=style)


def _draw_shown(canvas: skia.Canvas, block: PaperClock, words: SheetWords, room: Rect) -> None:
    board = block.board
    dials, numerals = [dial.time for dial in board.dials], board.numerals
    asked_only = not dials or bool(board.lanes and board.lanes[0].dial is not None)
    left = Rect(x=room.x, y=room.y, width=_DIAL, height=room.height)
    if asked_only:
        text = fit(
            board.asked or board.asked_words, width=left.width, height=left.height, largest=20.0, bold=True
        )
        draw_block(canvas, text, x=left.centre_x, top=left.centre_y - text.height / 2, colour=INK)
    elif len(dials) == 1:
        centre = (left.centre_x, left.centre_y)
        draw_dial(canvas, dials[0], centre=centre, radius=0.48 * _DIAL, theme=PAPER, numerals=numerals)
    else:
        radius = 0.27 * _DIAL
        upper, lower = left.y + radius, left.bottom - radius
        draw_dial(
            canvas, dials[0], centre=(left.x + radius, upper), radius=radius, theme=PAPER, numerals=numerals
        )
        draw_dial(
            canvas,
            dials[1],
            centre=(left.right - radius, lower),
            radius=radius,
            theme=PAPER,
            numerals=numerals,
        )
        side = 0.3 * _DIAL
        arrow = Rect(x=left.right - radius - side / 2, y=upper - side / 2, width=side, height=side)
        draw_arrow(canvas, arrow, down=True, theme=PAPER)
    right = Rect(x=left.right + 8.0, y=room.y, width=room.right - left.right - 8.0, height=room.height)
    if board.arms is not None:
        draw_performer(canvas, alone(FigureDoing(what=board.arms), right, look=look_for(0)), PAPER)
    top = right.y + (right.height - _LANE * len(board.lanes)) / 2
    for number, lane in enumerate(board.lanes):
        place = Rect(x=right.x, y=top + number * _LANE + 1.5, width=right.width, height=_LANE - 3.0)
        _draw_lane(canvas, lane, words, place, number, answer=lane.side == board.answer, numerals=numerals)


def _draw_lane(
    canvas: skia.Canvas,
    lane: Lane,
    words: SheetWords,
    room: Rect,
    number: int,
    *,
    answer: bool,
    numerals: Numerals,
) -> None:
    """Draw a choice; the right one stands on grey in a heavy frame, with a tick."""
    box = skia.Rect.MakeXYWH(room.x, room.y, room.width, room.height)
    if answer:
        canvas.drawRect(box, skia.Paint(Color=SHADE))
    canvas.drawRect(box, stroke(1.6 if answer else 0.5))
    tall = room.height
    figure = Rect(x=room.right - 1.25 * tall, y=room.y + 1.5, width=1.2 * tall, height=tall - 3.0)
    doing, step = FigureDoing(what=lane.move), telling_step(lane.move)
    draw_performer(canvas, alone(doing, figure, look=look_for(number), step=step), PAPER)
    x, width = room.x + 4.0, figure.x - room.x - 6.0
    if lane.dial is not None:
        radius = 0.46 * tall
        draw_dial(
            canvas,
            lane.dial,
            centre=(x + radius, room.centre_y),
            radius=radius,
            theme=PAPER,
            numerals=numerals,
            numeral_height=0.25,
            shown=_QUARTERS,
        )
        x, width = x + 2 * radius + 4.0, width - 2 * radius - 4.0
    side = f"{words[lane.side]}:"
    numeral = Style(size=12.5, bold=True)
    draw_paragraph(canvas, side, x=x, top=room.y + 4.0, width=width, style=Style(size=7.5, colour=QUIET))
    after = x + width_of(side, 7.5) + 3.0
    draw_paragraph(canvas, lane.numeral, x=after, top=room.y, width=width, style=numeral)
    if lane.numeral:
        after += width_of(lane.numeral, numeral.size, True) + 4.0
    room_left = x + width - after
    text = fit(lane.words, width=max(room_left, 1.0), height=14.0, largest=8.0, lines=2)
    draw_block(
        canvas,
        text,
        x=after,
        top=room.y + 3.0 if len(text.lines) > 1 else room.y + 6.5,
        colour=INK,
        align="left",
    )
    name = fit(lane.move_name, width=width, height=12.0, largest=9.0, lines=1, bold=True)
    draw_block(canvas, name, x=x, top=room.bottom - 11.5, colour=INK, align="left")
    if answer:
        draw_tick(canvas, room.x, room.y + 1.0, radius=5.5, theme=PAPER)


@cache
def telling_step(move: str) -> int:
    """Return the moment of a move's loop that is least like its start: with that, the pose that tells it."""
    loop = poses.loop(move, STEPS)
    # Where the body stands says little on paper: its shape counts, and how high it is.
    shape = loop - loop[:, poses.Joint.PELVIS, None] * (1.0, 0.0, 1.0)
    away = np.linalg.norm(shape - shape[0], axis=2).sum(axis=1)
    return int(np.argmax(away))

"""One clock on the sheet: its dials, its lanes with their moves, and the words to say."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
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
    SMALLEST,
    Style,
    draw_labelled,
    draw_paragraph,
    draw_read_block,
    height_of,
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
from caller.screen.text import fit, width_of

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


_WORDS = Style(size=SMALLEST)
_HEAD = Style(size=11.0, bold=True)
_PAD = 5.0
_DIAL = 70.0
_BESIDE = 8.0
_LANE = 36.0  # at least
_QUARTERS = frozenset((3, 6, 9, 12))  # all twelve could not be read in so small a dial


def block_height(block: PaperClock, words: SheetWords, width: float) -> float:
    """Return how tall a clock stands at this width."""
    inside = width - 2 * _PAD
    said = sum(labelled_height(label, text, inside, _WORDS) for label, text in _said(block, words))
    return 2 * _PAD + _HEAD.pitch + shown_height(block, words, inside) + 3.0 + said


def draw_clock_block(canvas: skia.Canvas, block: PaperClock, words: SheetWords, room: Rect) -> None:
    """Draw a clock in its room."""
    canvas.drawRect(skia.Rect.MakeXYWH(room.x, room.y, room.width, room.height), stroke(0.6, RULE))
    inside = room.inset(_PAD)
    _draw_head(canvas, block, words, inside)
    top = inside.y + _HEAD.pitch
    shown = Rect(x=inside.x, y=top, width=inside.width, height=shown_height(block, words, inside.width))
    _draw_shown(canvas, block, words, shown)
    top = shown.bottom + 3.0
    for label, text in _said(block, words):
        top = draw_labelled(canvas, label, text, x=inside.x, top=top, width=inside.width, style=_WORDS)


def label_of(name: str, words: SheetWords) -> str:
    """Return a word of the sheet with the colon of its language: French has a space before it."""
    return str(words["label"].format(name=words[name]))


def _said(block: PaperClock, words: SheetWords) -> tuple[tuple[str, str], ...]:
    return (
        ("?", block.question),
        (label_of("answer", words), block.answer),
        (label_of("why", words), block.why),
        (label_of("together", words), block.together),
    )


def shown_height(block: PaperClock, words: SheetWords, width: float) -> float:
    """Return how tall the dial and its choices are."""
    return max(_DIAL, sum(_lane_heights(block.board.lanes, words, width - _DIAL - _BESIDE)))


def _lane_heights(lanes: Sequence[Lane], words: SheetWords, width: float) -> list[float]:
    heights = []
    for lane in lanes:
        text_width = _lane_text(lane, Rect(x=0.0, y=0.0, width=width, height=_LANE))[1]
        said = labelled_height(_label(lane, words), lane.words, text_width, _WORDS)
        named = height_of(lane.move_name, text_width, _WORDS)
        heights.append(max(_LANE, (said or _WORDS.pitch) + named + 6.0) + 3.0)
    return heights


def _label(lane: Lane, words: SheetWords) -> str:
    return f"{label_of(lane.side, words)} {lane.numeral}".rstrip()


def _lane_text(lane: Lane, room: Rect) -> tuple[float, float]:
    """Return where the words of a choice begin, and how wide they may be: between its dial and its figure."""
    beside = 0.92 * _LANE + 4.0 if lane.dial is not None else 0.0
    return room.x + 4.0 + beside, room.width - 1.25 * _LANE - 6.0 - beside


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
    style = Style(size=SMALLEST, colour=QUIET)
    x = room.right - width_of(notes, style.size)
    draw_paragraph(canvas, notes, x=x, top=room.y + 0.6, width=room.width, style=style)


def _draw_shown(canvas: skia.Canvas, block: PaperClock, words: SheetWords, room: Rect) -> None:
    board = block.board
    dials, numerals = [dial.time for dial in board.dials], board.numerals
    asked_only = not dials or bool(board.lanes and board.lanes[0].dial is not None)
    left = Rect(x=room.x, y=room.y, width=_DIAL, height=room.height)
    if asked_only:
        text = fit(
            board.asked or board.asked_words, width=left.width, height=left.height, largest=20.0, bold=True
        )
        draw_read_block(canvas, text, x=left.centre_x, top=left.centre_y - text.height / 2, colour=INK)
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
    right = Rect(
        x=left.right + _BESIDE, y=room.y, width=room.right - left.right - _BESIDE, height=room.height
    )
    if board.arms is not None:
        draw_performer(canvas, alone(FigureDoing(what=board.arms), right, look=look_for(0)), PAPER)
    heights = _lane_heights(board.lanes, words, right.width)
    top = right.y + (right.height - sum(heights)) / 2
    for number, (lane, height) in enumerate(zip(board.lanes, heights, strict=True)):
        place = Rect(x=right.x, y=top + 1.5, width=right.width, height=height - 3.0)
        _draw_lane(canvas, lane, words, place, number, answer=lane.side == board.answer, numerals=numerals)
        top += height


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
    figure = Rect(
        x=room.right - 1.25 * _LANE, y=room.centre_y - _LANE / 2 + 1.5, width=1.2 * _LANE, height=_LANE - 3.0
    )
    doing, step = FigureDoing(what=lane.move), telling_step(lane.move)
    draw_performer(canvas, alone(doing, figure, look=look_for(number), step=step), PAPER)
    if lane.dial is not None:
        radius = 0.46 * _LANE
        draw_dial(
            canvas,
            lane.dial,
            centre=(room.x + 4.0 + radius, room.centre_y),
            radius=radius,
            theme=PAPER,
            numerals=numerals,
            numeral_height=0.25,
            shown=_QUARTERS,
        )
    x, width = _lane_text(lane, room)
    top, label = room.y + 2.5, _label(lane, words)
    if lane.words:
        top = draw_labelled(canvas, label, lane.words, x=x, top=top, width=width, style=_WORDS)
    else:
        top = draw_paragraph(canvas, label, x=x, top=top, width=width, style=replace(_WORDS, bold=True))
    draw_paragraph(canvas, lane.move_name, x=x, top=top, width=width, style=_WORDS)
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

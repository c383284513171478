"""What the sheet tells of a lesson: the times of its parts, and each clock with its words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Literal

from caller.deciding.model import LessonPart
from caller.languages.folders import table
from caller.runsheet.model import Board, Call, CallKind, RunSheet

SheetWords = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
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


def blocks_of(run_sheet: RunSheet, starts_s: Sequence[float]) -> tuple[Block, ...]:
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


def _block(calls: Sequence[Call], *, start_s: float) -> Block:
    answered = [call for call in calls if call.kind in ("answer", "reason")]
    counted = [call.countdown.seconds for call in calls if call.countdown is not None]
    return Block(
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

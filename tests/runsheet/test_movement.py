"""The figures do what the words ask: read off the words themselves, in every ready lesson."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Final, get_args

import pytest

from caller import paths
from caller.lesson.library import read_lesson
from caller.moves import catalogue
from caller.moves.poses import LONGEST_BEAT_S
from caller.runsheet import Board, Call, CallKind, FiguresDo, Line
from caller.runsheet.movement import FIGURES_DO, figures_do, moves_on
from caller.runsheet.sequence import make_run_sheet

LESSONS = sorted(paths.packaged("lessons").rglob("*.toml"))

# What a sentence asks, by its words (English): the first that is found.
ASKED: Final[dict[str, set[FiguresDo]]] = {
    r"\bshake out\b": {"shake"},
    r"\barms (hang|rest)\b": {"rest"},
    r"\bbreathe in\b|\band out\b": {"breathe"},
    r"\b(stand|sit) still\b|\btime's up\b|\beyes on\b": {"still", "rest"},
}


def call(kind: CallKind, *lines: Line, doing: FiguresDo | None = None) -> Call:
    return Call(
        number=1, kind=kind, part="round", round=1, lines=lines, board=Board(layout="clock"), doing=doing
    )


def test_every_kind_of_call_asks_for_something() -> None:
    assert set(FIGURES_DO) == set(get_args(CallKind))
    assert set(FIGURES_DO.values()) <= set(get_args(FiguresDo))


def test_a_line_says_more_than_its_call_and_a_call_more_than_its_kind() -> None:
    plain, hang = Line(written="Well done."), Line(written="Let your arms hang.", doing="rest")
    close = call("close", plain, hang, plain)
    assert [figures_do(close, line) for line in (None, 0, 1, 2)] == ["still", "still", "rest", "rest"]
    assert figures_do(call("close", plain, doing="move"), 0) == "move"


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_no_ready_lesson_has_a_long_stretch_with_nothing_heard_and_nothing_moving(path: Path) -> None:
    for each in make_run_sheet(read_lesson(path)).calls:
        assert each.hold_s <= 20.0 or each.beat is not None
        assert all(line.pause_s <= 20.0 and (line.slot_s or 0.0) <= 20.0 for line in each.lines)
        assert each.countdown is None or each.countdown.tick is not None or each.beat is not None


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_what_is_moved_to_has_a_pace_that_children_can_keep(path: Path) -> None:
    """Marching 120 to 132 a minute, running 150 to 180 (Tudor-Locke et al. 2018, abstract, and others)."""
    lesson = read_lesson(path)
    carried = [call for call in make_run_sheet(lesson).calls if call.beat is not None]
    assert carried
    for call in carried:
        assert call.beat is not None
        assert 120 <= call.beat.bpm <= 132 or 150 <= call.beat.bpm <= 180
        assert 60.0 / call.beat.bpm <= LONGEST_BEAT_S
        assert any(catalogue()[move].running for move in moves_on(call.board)) == (call.beat.bpm >= 150)
    assert not any(call.beat for call in make_run_sheet(replace(lesson, beat=False)).calls)


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_figures_do_what_the_words_of_a_ready_lesson_ask(path: Path) -> None:
    lesson = read_lesson(path)
    if not lesson.language.startswith("en"):
        pytest.skip("the words are looked for in English")
    found = 0
    for each in make_run_sheet(lesson).calls:
        for index, line in enumerate(each.lines):
            for words, right in ASKED.items():
                if re.search(words, line.written, re.IGNORECASE):
                    found += 1
                    assert figures_do(each, index) in right, (each.kind, line.written)
                    break
    assert found > 3

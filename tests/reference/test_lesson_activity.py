"""How active the ready lessons are, summed by hand from the run sheet as JSON and the tables of moves and
efforts.

The sum knows nothing of the program's own: it reads which call asks for which move for how long, looks the
effort up in the two packaged tables, and counts what is at or above 3 METy (Ridley, Ainsworth and Olds 2008,
IJBNPA 5:45). At least half of lesson time is the goal of the Institute of Medicine (2013, Educating the
Student Body).
"""

from __future__ import annotations

import statistics
import tomllib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import caller
from caller.lesson.library import read_lesson, ready_lessons
from caller.lesson.model import Lesson
from caller.planning.dosage import lesson_dose
from caller.planning.lengths import SpokenLengths, spoken_lengths
from caller.planning.staging import stage_of
from caller.runsheet.serial import as_dict
from caller.timeline.layout import seconds_of
from tests.planning.fakes import quiet_lengths

TABLES = Path(caller.__file__).parent / "moves"
MOVES = tomllib.loads((TABLES / "catalogue.toml").read_text("utf-8"))
EFFORTS = tomllib.loads((TABLES / "compendium.toml").read_text("utf-8"))

EVERY = ready_lessons()
LENGTHS = quiet_lengths()
LIMITS_S = (75, 33, 25)
"""The longest median round, median standing in a round, and stretch of standing between two bouts."""


def met(slug: str, age_y: float) -> float:
    code = MOVES[slug]["effort"]
    if code in EFFORTS["adult"]:
        return float(EFFORTS["adult"][code]["met"])
    return float(EFFORTS["youth"][code]["met_6_9" if age_y < 10 else "met_10_12"])


def moved(call: dict[str, Any], age_y: float) -> tuple[float, float]:
    """Return for how long a call asks for movement, and how hard the gentler choice is."""
    board = call["board"]
    if call["kind"] == "move":
        slugs = [lane["move"] for lane in board.get("lanes", [])] or [board["move"]]
        return float(call["countdown"]["seconds"]), min(met(slug, age_y) for slug in slugs)
    if call["kind"] in ("warm-up", "catch-up") and "move" in board:
        return float(call.get("hold_s", 0.0)), met(board["move"], age_y)
    return 0.0, 0.0


class Summed:
    """A lesson's run sheet as JSON, with how long each of its calls takes."""

    def __init__(self, path: Path, lengths: SpokenLengths, *, led_before: bool = False) -> None:
        self.lesson: Lesson = read_lesson(path)
        stage = replace(stage_of(self.lesson.hall, path.parent), led_before=led_before)
        run_sheet = stage.run_sheet(self.lesson)
        self.layouts = lengths.layouts(run_sheet)
        self.calls: list[dict[str, Any]] = as_dict(run_sheet)["calls"]
        self.seconds = [seconds_of(layout.length) for layout in self.layouts]
        self.total_s = sum(self.seconds)

    @property
    def share(self) -> float:
        found = (moved(call, self.lesson.age) for call in self.calls)
        return sum(seconds for seconds, effort in found if effort >= 3.0) / self.total_s

    def rounds(self) -> Iterator[tuple[float, float]]:
        """Yield for each clock how long it takes, and how much of it is standing."""
        whole: dict[int, float] = defaultdict(float)
        standing: dict[int, float] = defaultdict(float)
        for call, seconds in zip(self.calls, self.seconds, strict=True):
            if call["round"] is not None:
                whole[call["round"]] += seconds
                standing[call["round"]] += seconds - moved(call, self.lesson.age)[0]
        yield from ((whole[number], standing[number]) for number in whole)

    def standing_first_s(self) -> float:
        """Return the time without movement before the first clock that is played.

        The moves of a warm-up are called while the class still does the one before.
        """
        standing = 0.0
        warming = False
        for call, seconds in zip(self.calls, self.seconds, strict=True):
            if call["round"] is not None or call["part"] == "practice":
                break
            moving_s = moved(call, self.lesson.age)[0]
            standing += 0.0 if warming and call["kind"] == "warm-up" else seconds - moving_s
            warming = call["kind"] == "warm-up"
        return standing

    def longest_standing_s(self) -> float:
        """Return the longest time without movement between the first bout and the last."""
        longest = standing = 0.0
        begun = False
        bouts = [place for place, call in enumerate(self.calls) if call["kind"] == "move"]
        for call, seconds in zip(self.calls[: bouts[-1]], self.seconds, strict=False):
            moving_s = moved(call, self.lesson.age)[0]
            standing += seconds - moving_s
            if moving_s:
                longest = max(longest, standing) if begun else longest
                standing, begun = 0.0, begun or call["kind"] == "move"
        return max(longest, standing)


@pytest.mark.parametrize("path", EVERY.values(), ids=EVERY.keys())
def test_the_share_that_is_told_is_the_sum_of_what_the_calls_ask(path: Path) -> None:
    summed = Summed(path, LENGTHS)
    told = lesson_dose(summed.layouts, age_y=summed.lesson.age).mvpa_share
    assert told == pytest.approx(summed.share, abs=1e-9)


@pytest.mark.parametrize("path", EVERY.values(), ids=EVERY.keys())
def test_no_child_lands_more_than_sixty_times(path: Path) -> None:
    """Johnson, Salzberg and Stevenson 2011, JSCR 25:2623: 50 to 60 jumps a session to begin with."""
    landed = 0.0
    for call in Summed(path, LENGTHS).calls:
        board, seconds = call["board"], moved(call, 7.0)[0]
        slugs = [lane["move"] for lane in board.get("lanes", [])] or [board.get("move", "march")]
        hardest = 0.0
        for slug in slugs:
            row = MOVES[slug]
            beats_s = seconds * (150 if row.get("running") else 120) / 60
            hardest = max(hardest, row.get("jumps", 0) * beats_s / row["beats"])
        landed += hardest
    assert landed <= 60.5


def _targets(name: str, lengths: SpokenLengths) -> Sequence[str]:
    """Return which targets a lesson misses, each with what it has instead."""
    summed = Summed(EVERY[name], lengths)
    known = Summed(EVERY[name], lengths, led_before=True)
    lesson, rounds = summed.lesson, list(summed.rounds())
    minutes = lesson.minutes or 0
    # In a short lesson the first clock, on which all is explained, weighs too much.
    usual = rounds if minutes >= 10 else rounds[1:]
    round_s, standing_s, stretch_s = LIMITS_S
    found = {
        "round": (statistics.median(whole for whole, _ in usual), round_s),
        "standing in it": (statistics.median(standing for _, standing in usual), standing_s),
        "standing at a stretch": (summed.longest_standing_s(), stretch_s),
        "standing before the first clock": (summed.standing_first_s(), 90),
        "standing before it in a known class": (known.standing_first_s(), 45),
    }
    missed = [f"{what} {has:.1f} s" for what, (has, most) in found.items() if has > most]
    if not lesson.seated and summed.share < (0.5 if minutes >= 10 else 0.4):
        missed.append(f"share {summed.share:.3f}")
    if len(rounds) < {15: 8, 20: 11}.get(minutes, 0):
        missed.append(f"{len(rounds)} clocks")
    return missed


@pytest.mark.endtoend
@pytest.mark.timeout(900)
def test_by_the_real_voice_half_of_each_lesson_is_movement() -> None:
    with spoken_lengths() as lengths:
        missed = {name: _targets(name, lengths) for name in EVERY}
    assert {name: what for name, what in missed.items() if what} == {}

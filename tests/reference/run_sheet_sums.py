"""How active and how brisk a lesson is, summed from its run sheet as JSON and the tables of moves.

The sum knows nothing of the program's own: it reads which call asks for which move for how long, looks the
effort up in the two packaged tables, and counts what is at or above 3 METy (Ridley, Ainsworth and Olds 2008,
IJBNPA 5:45).
"""

from __future__ import annotations

import statistics
import tomllib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import caller
from caller.lesson import Lesson
from caller.lesson.library import read_lesson
from caller.planning.lengths import SpokenLengths
from caller.planning.staging import stage_of
from caller.runsheet import RunSheet
from caller.runsheet.forms import as_dict
from caller.timeline import seconds_of

TABLES = Path(caller.__file__).parent / "moves"
MOVES = tomllib.loads((TABLES / "catalogue.toml").read_text("utf-8"))
EFFORTS = tomllib.loads((TABLES / "compendium.toml").read_text("utf-8"))


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

    def __init__(self, lesson: Lesson, run_sheet: RunSheet, lengths: SpokenLengths) -> None:
        self.lesson = lesson
        self.layouts = lengths.layouts(run_sheet)
        self.calls: list[dict[str, Any]] = as_dict(run_sheet)["calls"]
        self.seconds = [seconds_of(layout.length) for layout in self.layouts]
        self.total_s = sum(self.seconds)

    @classmethod
    def of_file(cls, path: Path, lengths: SpokenLengths, *, led_before: bool = False) -> Summed:
        lesson = read_lesson(path)
        stage = replace(stage_of(lesson.hall, path.parent), led_before=led_before)
        return cls(lesson, stage.run_sheet(lesson), lengths)

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

    def medians_s(self) -> tuple[float, float]:
        """Return the median round and the median standing in one.

        In a short lesson the first clock, on which all is explained, weighs too much.
        """
        rounds = list(self.rounds())
        usual = rounds if (self.lesson.minutes or 0) >= 10 or len(rounds) < 2 else rounds[1:]
        whole, standing = zip(*usual, strict=True)
        return statistics.median(whole), statistics.median(standing)

    def landings(self) -> float:
        """Return the landings of a child who always has the jumping move, on the beat that is heard."""
        landed = 0.0
        for call in self.calls:
            board, (seconds, _) = call["board"], moved(call, self.lesson.age)
            slugs = [lane["move"] for lane in board.get("lanes", [])] or [board.get("move", "march")]
            bpm = call["beat"]["bpm"] if call.get("beat") else 120.0
            landed += max(
                MOVES[slug].get("jumps", 0) * seconds * bpm / 60 / MOVES[slug]["beats"] for slug in slugs
            )
        return landed

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


def faults(summed: Summed) -> Sequence[str]:
    """Return what would be too much for a child, or no bout at all.

    Landings: Johnson, Salzberg and Stevenson 2011, JSCR 25:2623. Bursts: Bailey et al. 1995, MSSE 27:1033.
    Vigorous bouts: 10 to 15 s under eight years and 15 to 30 s from eight (Baquet et al. 2019, Pediatr Exerc
    Sci 31:248). Holds: Condon and Cremin 2014 and practice pages. Where the lines are drawn is own judgement.
    """
    age, told = summed.lesson.age, []
    if summed.landings() > 60.5:
        told.append(f"{summed.landings():.0f} landings")
    vigorous_s = (10, 15) if age < 8 else (15, 30)
    hold_s = 5 if age < 6 else 10 if age < 8 else 15
    moving = [(call, moved(call, age)[0]) for call in summed.calls if moved(call, age)[0]]
    for call, seconds in moving:
        board = call["board"]
        for slug in [lane["move"] for lane in board.get("lanes", [])] or [board["move"]]:
            if seconds > 30.05 or (MOVES[slug].get("hold") and not 3 <= seconds <= hold_s):
                told.append(f"{slug} for {seconds:.0f} s at {age}")
            if met(slug, age) >= 6.0 and not vigorous_s[0] <= seconds <= vigorous_s[1]:
                told.append(f"{slug}, vigorous, for {seconds:.0f} s at {age}")
            if call["kind"] == "warm-up" and MOVES[slug]["impact"] > 1:
                told.append(f"{slug} to warm up with")
    first, last = moving[0][0], moving[-1][0]
    if first["kind"] != "warm-up" or (not summed.lesson.seated and met(first["board"]["move"], age) > 4.0):
        told.append("no gentle start")
    if summed.calls[-1]["kind"] != "close" or MOVES[last["board"].get("move", "march")]["impact"] > 2:
        told.append("no calm end")
    return told

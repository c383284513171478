"""`hall-caller explain TIME`: why it is that time, and which wrong readings would teach something."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from caller.cli.for_teachers import hanging, prepares_for, what_a_child_does
from caller.cli.printing import as_json
from caller.cli.targets import add_replace, check_picture, mistakes_told, write_picture
from caller.clock import ClockTime
from caller.clock.ladder import STEP_CODES, Step, difficulty, step, step_of
from caller.clock.wrong import Candidate, Refusal, rank, refused
from caller.languages import CODES, Language, Register, language
from caller.languages.reasons import Clause, reason, why_wrong
from caller.screen.for_paper import draw_ranking

_WIDTH, _HEIGHT = 1600, 1000


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument("time", help="a time such as 4:40")
    parser.add_argument(
        "--step",
        choices=STEP_CODES,
        help="how finely the class reads; the lowest step with this time if left out",
    )
    parser.add_argument("--language", choices=CODES, default="en-GB", help="the language of the reason")
    parser.add_argument(
        "--register",
        choices=("analogue", "digital"),
        default="analogue",
        help="twenty to five, or four forty",
    )
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")
    parser.add_argument("--to", type=Path, metavar="FILE", help="also as a picture: png, svg or pdf")
    add_replace(parser)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Explained:
    """All that is told of a time."""

    time: ClockTime
    step: Step
    language: Language
    register: Register
    clauses: tuple[Clause, ...]
    candidates: tuple[Candidate, ...]
    refusals: tuple[Refusal, ...]

    def tempting(self, candidate: Candidate) -> str:
        """Return what the class is told about a wrong reading."""
        return why_wrong(
            candidate.time,
            self.time,
            language=self.language,
            registers=(self.register,),
        ).written


def run(arguments: argparse.Namespace) -> int:
    """Tell the reason and the ranking."""
    if arguments.to is not None:
        check_picture(arguments.to, replace=arguments.replace)
    with mistakes_told():
        told = _explain(arguments)
    if arguments.json:
        print(as_json(_as_dict(told)))
    else:
        print("\n".join(_as_text(told)))
    if arguments.to is not None:
        draw = partial(
            draw_ranking,
            time=told.time,
            candidates=told.candidates,
            said=told.language.phrase(told.time, told.register).written,
            reasons=[clause.written for clause in told.clauses],
            width=_WIDTH,
            height=_HEIGHT,
        )
        write_picture(
            draw,
            arguments.to,
            width=_WIDTH,
            height=_HEIGHT,
            title=str(told.time),
            replace=arguments.replace,
        )
    return 0


def _explain(arguments: argparse.Namespace) -> _Explained:
    time = ClockTime.parse(arguments.time)
    at = step(arguments.step) if arguments.step else step_of(time)
    spoken = language(arguments.language)
    return _Explained(
        time=time,
        step=at,
        language=spoken,
        register=arguments.register,
        clauses=reason(time, step=at, language=spoken, register=arguments.register),
        candidates=rank(time, step=at, manners=(spoken.manner(arguments.register),)),
        refusals=refused(time, step=at, manners=(spoken.manner(arguments.register),)),
    )


def _as_text(told: _Explained) -> list[str]:
    said = (told.language.analogue(told.time).written, told.language.digital(told.time).written)
    lines = [
        f"{told.time}: {', '.join(dict.fromkeys(said))}",
        f"Step: {told.step.name} ({told.step.code}); difficulty {difficulty(told.time).score:.2f} of 1",
        "",
        "Why",
        *(f"  {clause.written}" for clause in told.clauses),
        "",
        "Wrong readings to offer, the best first",
    ]
    telling = [candidate for candidate in told.candidates if candidate.mixups]
    for number, candidate in enumerate(telling, start=1):
        head = f"{number:>4}. {candidate.time!s:>5}  "
        words = f"{candidate.why} Tests: {candidate.tests}. Score {candidate.score:.2f}."
        lines += hanging(head, words)
        lines += hanging(" " * len(head), f"What a child does: {what_a_child_does(candidate.mixups)}")
        lines += hanging(" " * len(head), f"The class hears: {told.tempting(candidate)}")
    plain = ", ".join(str(candidate.time) for candidate in told.candidates if not candidate.mixups)
    if plain:
        lines += hanging("      ", f"Then, with no known mix-up behind them: {plain}.")
    if told.refusals:
        lines += ["", "Not offered"]
        for refusal in told.refusals:
            lines += hanging(f"      {refusal.time!s:>5}  ", refusal.reason)
    lines += ["", "What this step prepares for"]
    for line in prepares_for(told.step):
        lines += hanging("  - ", line)
    return lines


def _as_dict(told: _Explained) -> dict[str, Any]:
    hard = difficulty(told.time)
    return {
        "time": str(told.time),
        "analogue": told.language.analogue(told.time).written,
        "digital": told.language.digital(told.time).written,
        "step": told.step.code,
        "difficulty": {"score": hard.score, "parts": dict(hard.parts)},
        "prepares_for": list(prepares_for(told.step)),
        "reason": [clause.written for clause in told.clauses],
        "wrong": [
            {
                "time": str(candidate.time),
                "kind": candidate.kind,
                "mixups": sorted(candidate.mixups),
                "tests": candidate.tests,
                "score": candidate.score,
                "parts": dict(candidate.parts),
                "apart_deg": candidate.apart_deg,
                "why": candidate.why,
                "does": what_a_child_does(candidate.mixups),
                "said": told.tempting(candidate),
            }
            for candidate in told.candidates
        ],
        "refused": [
            {"time": str(refusal.time), "mixups": sorted(refusal.mixups), "reason": refusal.reason}
            for refusal in told.refusals
        ],
    }

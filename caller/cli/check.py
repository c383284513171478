"""`hall-caller check FILE...`: errors and advice."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from caller.cli.printing import as_json
from caller.errors import UserError
from caller.lesson.library import find_lesson
from caller.moves.effort import CUT_3
from caller.planning.checks import Finding, look_over
from caller.planning.lengths import SpokenLengths, spoken_lengths
from caller.planning.staging import Rehearsal, rehearse_file
from caller.runsheet.forms import clock


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument(
        "lessons", nargs="+", metavar="LESSON", help="lesson files, or names of ready lessons"
    )
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")


def run(arguments: argparse.Namespace) -> int:
    """Look each lesson over; 2 if any of them has an error."""
    told: list[dict[str, Any]] = []
    with spoken_lengths() as lengths:
        for wanted in arguments.lessons:
            report = _report(wanted, lengths)
            told.append(report)
            if not arguments.json:
                print("\n".join(_lines(report)))
    if arguments.json:
        print(as_json(told))
    return UserError.exit_code if any(report["errors"] for report in told) else 0


def _report(wanted: str, lengths: SpokenLengths) -> dict[str, Any]:
    """Return what there is to say about one lesson; one that cannot be read does not stop the others."""
    try:
        path = find_lesson(wanted)
        rehearsal = rehearse_file(path, lengths)
    except UserError as error:
        return {"file": wanted, "errors": _unusable(str(error), Path(wanted).name), "advice": []}
    findings = look_over(rehearsal)
    return {
        "file": str(path),
        **_figures(rehearsal),
        "errors": [_plain(finding) for finding in findings if finding.level == "error"],
        "advice": [_plain(finding) for finding in findings if finding.level == "advice"],
    }


def _unusable(said: str, name: str) -> list[dict[str, str]]:
    """Return the reader's sentences, one for each problem, without the file's name before them."""
    return [
        {"check": "script", "where": "", "text": line.removeprefix(f"{name}, ")} for line in said.split("\n")
    ]


def _figures(rehearsal: Rehearsal) -> dict[str, Any]:
    return {
        "length_s": round(rehearsal.length_s, 2),
        "minutes": rehearsal.lesson.minutes,
        "rounds": len(rehearsal.lesson.rounds),
        "active_share": round(rehearsal.gentler.mvpa_share, 3),
        "clocks_per_min": round(60.0 * len(rehearsal.lesson.rounds) / rehearsal.length_s, 3),
        "active_means": CUT_3.name,
        "told": f"{clock(rehearsal.length_s)} with {len(rehearsal.lesson.rounds)} rounds. "
        f"{rehearsal.gentler.in_words()}",
    }


def _plain(finding: Finding) -> dict[str, str]:
    return {"check": finding.check, "where": finding.where, "text": finding.text}


def _lines(report: dict[str, Any]) -> list[str]:
    lines = [f"{report['file']}: {report.get('told', 'cannot be used as it stands.')}"]
    for level, word in (("errors", "error "), ("advice", "advice")):
        for finding in report[level]:
            where = f"{finding['where']}: " if finding["where"] else ""
            lines.append(f"  {word}  {where}{finding['text']}")
    if not report["errors"]:
        lines.append("  No errors.")
    return lines

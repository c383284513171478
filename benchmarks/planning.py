"""How long planning and checking take, with speech that has been heard before.

    python -m benchmarks.planning [--minutes M] [--weeks W] [--per-week N]

Wanted on two cores: a 20-minute lesson in 2 s, a term of 12 weeks in 20 s, a script checked again in 1 s. The
first run of each speaks what was never spoken, and is told apart. A verb as a teacher types it starts Python
and the program anew, so that is timed too.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

from benchmarks.usage import as_installed
from caller.planning.checks import look_over
from caller.planning.classfile import SchoolClass
from caller.planning.lengths import SpokenLengths, spoken_lengths
from caller.planning.next_lessons import plan_term
from caller.planning.notes import script
from caller.planning.plan import Plan, plan_lesson
from caller.planning.staging import Stage, rehearse_file

TERNS = SchoolClass(name="Terns", age=(6, 7), step="quarters")
_RUNS = 5
_RUNS_OF_A_NEW_USER = 3


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--minutes", type=int, default=20)
    parser.add_argument("--weeks", type=int, default=12)
    parser.add_argument("--per-week", type=int, default=2)
    chosen = parser.parse_args()

    def lesson(lengths: SpokenLengths) -> Plan:
        return plan_lesson(TERNS, stage=Stage(), lengths=lengths, minutes=chosen.minutes)

    def term(lengths: SpokenLengths) -> object:
        return plan_term(
            TERNS,
            weeks=chosen.weeks,
            per_week=chosen.per_week,
            stage=Stage(),
            lengths=lengths,
            minutes=chosen.minutes,
        )

    _report(f"plan {chosen.minutes} minutes", lesson)
    _report(f"plan {chosen.weeks} weeks, {chosen.per_week} a week", term)
    with tempfile.TemporaryDirectory() as folder, spoken_lengths() as lengths:
        path = Path(folder) / "lesson.toml"
        path.write_text(script(lesson(lengths)), encoding="utf-8")
        _report("check again", lambda heard: look_over(rehearse_file(path, heard)))
        _report_verb("hall-caller check", ["check", str(path)])
        class_file = Path(folder) / "terns.toml"
        class_file.write_text('name = "Terns"\nage = "6-7"\n', encoding="utf-8")
        plan = ["plan", str(class_file), "--to", str(path), "--replace", "--minutes", str(chosen.minutes)]
        _report_verb("hall-caller plan", plan)
        _report_verb("  by a new user", plan, new_user=True)
        term_of = [*plan[:3], str(Path(folder) / "term"), *plan[4:]]
        weeks = ["--weeks", str(chosen.weeks), "--per-week", str(chosen.per_week)]
        _report_verb("  a term, by a new user", [*term_of, *weeks], new_user=True)


def _report(what: str, work: Callable[[SpokenLengths], object]) -> None:
    """Print how long `work` takes the first time, and the median of runs that remember the lengths."""
    first_s = _timed(work)
    again_s = sorted(_timed(work) for _ in range(_RUNS))
    print(f"{what:32} {again_s[_RUNS // 2]:6.2f} s   (first time {first_s:.2f} s, worst {again_s[-1]:.2f} s)")


def _timed(work: Callable[[SpokenLengths], object]) -> float:
    began = time.perf_counter()
    with spoken_lengths() as lengths:
        work(lengths)
    return time.perf_counter() - began


def _report_verb(what: str, words: list[str], *, new_user: bool = False) -> None:
    """Print how long a verb takes as it is typed; a new user has no clip, no length and no record."""
    times_s = []
    for _ in range(_RUNS_OF_A_NEW_USER if new_user else _RUNS):
        with tempfile.TemporaryDirectory() as home:
            began = time.perf_counter()
            subprocess.run(
                [sys.executable, "-m", "caller", *words],
                check=True,
                capture_output=True,
                env=as_installed(Path(home) if new_user else None),
            )
            times_s.append(time.perf_counter() - began)
    print(f"{what:32} {median(times_s):6.2f} s   (as typed, Python's start included)")


if __name__ == "__main__":
    main()

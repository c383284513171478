"""One page about a term: what each lesson is about, what comes back, and how long it takes."""

from __future__ import annotations

from collections.abc import Sequence

from caller.clock.ladder import step
from caller.moves.effort import CUT_3
from caller.moves.safety import who_decides
from caller.planning.spacing import LESSONS_UNTIL_RETURN, SOURCES
from caller.planning.term import WEEKS_ON_A_STEP, TermLesson
from caller.runsheet.table import clock as minutes_and_seconds


def file_name(lesson: TermLesson) -> str:
    """Return what a lesson's file is called: the week, its place in the week, and the step."""
    return f"week-{lesson.week:02d}-{lesson.place}-{lesson.plan.lesson.step}.toml"


def overview(lessons: Sequence[TermLesson]) -> str:
    """Return the page, as Markdown."""
    name = lessons[0].plan.school_class.name
    rows = [
        "| week | lesson | about | comes back | clocks | length | active |",
        "|---|---|---|---|---|---|---|",
        *(_row(lesson) for lesson in lessons),
    ]
    again = sum(len(lesson.plan.again) for lesson in lessons)
    repeated = (
        f"{again} times a clock comes again within two weeks: its step has too few for that many lessons."
        if again
        else "No clock comes twice within two weeks."
    )
    gaps = ", ".join(map(str, LESSONS_UNTIL_RETURN))
    return "\n".join(
        [
            f"# The {name}: {len(lessons)} lessons in {lessons[-1].week} weeks",
            "",
            *rows,
            "",
            f"- About {WEEKS_ON_A_STEP} weeks on a step of the ladder is common practice, no source.",
            "- A class that needs longer: plan again, from the step it is on.",
            f"- {repeated}",
            f"- A step comes back after {gaps} lessons: gaps that grow. Where that comes from:",
            *(f"  - {source}" for source in SOURCES),
            f"- Active: the share of time in moderate or vigorous movement ({CUT_3.name}),",
            "  for a child who always does the gentler move.",
            f"- {who_decides()}",
            "",
        ]
    )


def _row(lesson: TermLesson) -> str:
    plan = lesson.plan
    cells = (
        str(lesson.week),
        f"[{lesson.place}]({file_name(lesson)})",
        step(plan.lesson.step).name,
        ", ".join(step(code).name.lower() for code in lesson.returns) or "–",
        " ".join(str(clock.time) for clock in plan.clocks),
        minutes_and_seconds(plan.length_s),
        f"{plan.dose.mvpa_share:.0%}",
    )
    return f"| {' | '.join(cells)} |"

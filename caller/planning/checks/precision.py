"""Precision: whether a class at this step can read these clocks."""

from __future__ import annotations

from collections.abc import Iterator

from caller.clock.ladder import STEP_CODES, STEPS, step, step_of
from caller.clock.times import ClockTime, DayTime
from caller.planning.checks.finding import Finding
from caller.planning.rehearsal import Rehearsal


def check(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield an error for every clock that is finer than the lesson's step."""
    lesson = rehearsal.lesson
    shown: list[tuple[str, ClockTime | DayTime | None]] = []
    if not lesson.worked_example.skip:
        shown.append(("worked example", lesson.worked_example.time))
    if not lesson.practice.skip:
        shown.append(("practice", lesson.practice.time))
    shown += [(f"round {number}", each.time) for number, each in enumerate(lesson.rounds, start=1)]
    for where, time in shown:
        dial = time.dial if isinstance(time, DayTime) else time
        if dial is not None and dial.minute not in readable_minutes(lesson.step):
            needed = step_of(dial)
            yield Finding(
                level="error",
                check="precision",
                where=where,
                text=f'{dial} needs the step "{needed.name.lower()}", and the class is at '
                f'"{step(lesson.step).name.lower()}". Choose another clock, or write step = "{needed.code}".',
            )


def readable_minutes(code: str) -> frozenset[int]:
    """Return the minutes that a class can read which has come as far as this step."""
    until = STEPS[: STEP_CODES.index(code) + 1]
    return frozenset(minute for each in until for minute in each.minutes)

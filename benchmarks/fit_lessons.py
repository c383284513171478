"""Fit the ready lessons to their minutes: `python -m benchmarks.fit_lessons [NAME...]`.

For when words, moves or rounds have changed. It writes two numbers of a lesson, the seconds of its warm-up
and those to decide and to move; clocks, moves and notes are a person's. The same lessons and the same
voice give the same numbers. A lesson that fits already is left as it is, and the demo is a person's
throughout.
"""

from __future__ import annotations

import argparse
import re
from dataclasses import replace
from pathlib import Path
from typing import Final

from caller.errors import UserError
from caller.lesson import Lesson
from caller.lesson.library import read_lesson, ready_lessons
from caller.planning.dosage import lesson_dose
from caller.planning.fitting import SHAPES, fit, limits
from caller.planning.lengths import SpokenLengths, spoken_lengths, total_s
from caller.planning.staging import Stage, stage_of
from caller.timeline import CallLayout

FITS_S: Final = 8.0
"""A lesson that is longer or shorter by no more is left alone: other voices differ by more."""

_THINK: Final = "think_seconds"
_THINK_NOTE: Final = " # time to decide, standing still, and to do the move"


def fitted(lesson: Lesson, stage: Stage, lengths: SpokenLengths) -> Lesson:
    """Return a lesson made as long as it says, by its warm-up first and then by its bouts.

    Raises
    ------
    UserError
        If its clocks do not fit its minutes.
    """
    minutes, count = lesson.minutes or 0, len(lesson.rounds)
    usual = replace(lesson, think_seconds=None)
    for shape in SHAPES[1:3]:  # the usual bounds of a warm-up, then the wider ones
        bounds = replace(
            limits(shape, minutes=minutes, age_y=lesson.age), fewest_rounds=count, most_rounds=count
        )
        try:
            return fit(
                lambda _rounds: usual,
                lambda made: _performed(made, stage, lengths),
                seconds=60.0 * minutes,
                limits=bounds,
            )
        except UserError as error:
            problem = error
    raise problem


def with_numbers(script: str, lesson: Lesson) -> str:
    """Return a lesson's script with the two numbers of `lesson`, and all else as it stands."""
    head, rounds, rest = script.partition("[[round]]")
    warm_up_s = lesson.opening.warm_up_seconds
    head, found = re.subn(r"(?m)^(warm_up_seconds *= *)\d+", rf"\g<1>{warm_up_s}", head)
    if not found:
        head = re.sub(r"(?m)^(warm_up *= .*\n)", rf"\g<1>warm_up_seconds = {warm_up_s}\n", head)
    if lesson.think_seconds is None:
        head = re.sub(rf"(?m)^{_THINK}\b.*\n", "", head)
    elif re.search(rf"(?m)^{_THINK}\b", head):
        head = re.sub(rf"(?m)^({_THINK} *= *)\d+", rf"\g<1>{lesson.think_seconds}", head)
    else:
        head = re.sub(
            r"(?m)^(minutes\b.*\n)", rf"\g<1>{_THINK} = {lesson.think_seconds}{_THINK_NOTE}\n", head
        )
    return head + rounds + rest


def _performed(lesson: Lesson, stage: Stage, lengths: SpokenLengths) -> tuple[CallLayout, ...]:
    return lengths.layouts(stage.run_sheet(lesson))


def _told(name: str, lesson: Lesson, layouts: tuple[CallLayout, ...]) -> str:
    share = lesson_dose(layouts, age_y=lesson.age).mvpa_share
    over_s = total_s(layouts) - 60.0 * (lesson.minutes or 0)
    return f"{name}: {over_s:+.0f} s, {share:.1%} moving"


def _fit(name: str, path: Path, lengths: SpokenLengths, *, every: bool) -> None:
    lesson = read_lesson(path)
    stage = stage_of(lesson.hall, path.parent)
    layouts = _performed(lesson, stage, lengths)
    told = _told(name, lesson, layouts)
    if not every and abs(total_s(layouts) - 60.0 * (lesson.minutes or 0)) <= FITS_S:
        print(f"{told}; left")
        return
    try:
        made = fitted(lesson, stage, lengths)
    except UserError as error:
        print(f"{told}; NOT FITTED: {error}")
        return
    text = path.read_text("utf-8")
    path.write_text(with_numbers(text, made), "utf-8")
    again = read_lesson(path)
    print(f"{told}; now {_told(name, again, _performed(again, stage, lengths))}")


def main() -> None:
    """Fit the lessons named, or all."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.fit_lessons", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help="ready lessons; all if left out")
    parser.add_argument("--every", action="store_true", help="those too that fit already")
    arguments = parser.parse_args()
    lessons = {name: path for name, path in ready_lessons().items() if name != "demo"}
    unknown = set(arguments.names) - set(lessons)
    if unknown:
        parser.error(f"no ready lesson is called {', '.join(sorted(unknown))}")
    with spoken_lengths() as lengths:
        for name in arguments.names or lessons:
            _fit(name, lessons[name], lengths, every=arguments.every)


if __name__ == "__main__":
    main()

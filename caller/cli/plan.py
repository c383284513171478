"""`hall-caller plan CLASS`: a lesson, or a term of lessons."""

from __future__ import annotations

import argparse
from pathlib import Path

from caller.cli.targets import add_replace
from caller.clock.ladder import STEP_CODES
from caller.errors import UserError
from caller.file_reading import is_file
from caller.file_writing import check_target, make_folder, write_text
from caller.planning.classfile import LEAST_MINUTES, MOST_MINUTES, SchoolClass, read_class
from caller.planning.lengths import SpokenLengths, spoken_lengths
from caller.planning.next_lessons import plan_term
from caller.planning.notes import file_name, five_lines, overview, script
from caller.planning.plan import plan_lesson
from caller.planning.staging import Stage, stage_of
from caller.record.store import recall

_OVERVIEW = "overview.md"
_MOST_LESSONS = 120


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the verb understands."""
    parser.add_argument("school_class", metavar="CLASS", type=Path, help="a class file, such as terns.toml")
    parser.add_argument(
        "--to", required=True, type=Path, metavar="FILE", help="the lesson; of a term, the folder"
    )
    parser.add_argument(
        "--minutes", type=int, metavar="M", help="how long the lesson is; the class's own if left out"
    )
    parser.add_argument(
        "--focus", choices=STEP_CODES, metavar="STEP", help=f"what it is about: {', '.join(STEP_CODES)}"
    )
    parser.add_argument(
        "--seed", type=int, default=1, metavar="N", help="another number gives another lesson"
    )
    parser.add_argument("--weeks", type=int, metavar="W", help="plan a term of so many weeks")
    parser.add_argument("--per-week", type=int, metavar="N", help="lessons a week in a term; 2 if left out")
    add_replace(parser)


def run(arguments: argparse.Namespace) -> int:
    """Plan, write, and say in a few lines what was chosen."""
    _check(arguments)
    school_class = read_class(arguments.school_class)
    stage = _stage(school_class, arguments)
    with spoken_lengths() as lengths:
        if arguments.weeks is None:
            _lesson(arguments, school_class, stage, lengths)
        else:
            _term(arguments, school_class, stage, lengths)
    return 0


def _lesson(
    arguments: argparse.Namespace, school_class: SchoolClass, stage: Stage, lengths: SpokenLengths
) -> None:
    shown = recall(school_class.name)
    plan = plan_lesson(
        school_class,
        stage=stage,
        lengths=lengths,
        minutes=arguments.minutes,
        focus=arguments.focus,
        seed=arguments.seed,
        known=shown.known,
        confused=shown.confused,
        recent=tuple(shown.times_days.items()),
    )
    _write({arguments.to: script(plan)}, arguments)
    print("\n".join(five_lines(plan)))


def _term(
    arguments: argparse.Namespace, school_class: SchoolClass, stage: Stage, lengths: SpokenLengths
) -> None:
    shown = recall(school_class.name)
    lessons = plan_term(
        school_class,
        weeks=arguments.weeks,
        per_week=arguments.per_week or 2,
        stage=stage,
        lengths=lengths,
        minutes=arguments.minutes,
        focus=arguments.focus,
        seed=arguments.seed,
        known=shown.known,
        confused=shown.confused,
        recent=tuple(shown.times_days.items()),
    )
    files = {arguments.to / file_name(lesson): script(lesson.plan) for lesson in lessons}
    _write(files | {arguments.to / _OVERVIEW: overview(lessons)}, arguments)
    print(f"{len(lessons)} lessons for the {school_class.name}. The overview is {arguments.to / _OVERVIEW}.")


def _check(arguments: argparse.Namespace) -> None:
    _between("--minutes", arguments.minutes, LEAST_MINUTES, MOST_MINUTES)
    _between("--weeks", arguments.weeks, 1, 52)
    _between("--per-week", arguments.per_week, 1, 5)
    _between("--seed", arguments.seed, 0, 2**31 - 1)
    if arguments.weeks is None and arguments.per_week is not None:
        raise UserError("--per-week is for a term: write --weeks as well, or leave it out.")
    if arguments.weeks is not None and arguments.weeks * (arguments.per_week or 2) > _MOST_LESSONS:
        raise UserError(f"That is more than {_MOST_LESSONS} lessons. Plan a shorter term.")
    if arguments.weeks is None and arguments.to.suffix != ".toml":
        raise UserError(f'--to {arguments.to}: a lesson\'s name ends in .toml, like "monday.toml".')
    # Made and checked now: planning that cannot be written is waited for in vain.
    target = arguments.to if arguments.weeks is None else arguments.to / _OVERVIEW
    make_folder(target.parent)
    check_target(target, replace=arguments.replace, sources=[arguments.school_class])


def _between(option: str, value: int | None, least: int, most: int) -> None:
    if value is not None and not least <= value <= most:
        raise UserError(f"{option} {value}: choose from {least} to {most}.")


def _stage(school_class: SchoolClass, arguments: argparse.Namespace) -> Stage:
    """Return the class's hall; the lesson names it too, so it must be found from where the lesson is."""
    here = arguments.school_class.parent
    there = arguments.to if arguments.weeks is not None else arguments.to.parent
    stage = stage_of(school_class.hall, here, school_class.name)
    if school_class.hall and is_file(here / school_class.hall) and here.resolve() != there.resolve():
        raise UserError(
            f'The lesson needs the hall file "{school_class.hall}" beside it. Write it into the folder of '
            "the class file."
        )
    return stage


def _write(files: dict[Path, str], arguments: argparse.Namespace) -> None:
    sources = [arguments.school_class]
    for path in files:  # all are looked at before the first is written
        check_target(path, replace=arguments.replace, sources=sources)
    for path, text in files.items():
        write_text(path, text, replace=arguments.replace, sources=sources)

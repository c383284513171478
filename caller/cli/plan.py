"""`hall-caller plan CLASS`: a lesson, or a term of lessons."""

from __future__ import annotations

import argparse
from datetime import date, time
from pathlib import Path
from typing import Final

from caller.cli.targets import add_replace
from caller.clock.ladder import STEP_CODES
from caller.errors import UserError
from caller.file_reading import is_file
from caller.file_writing import check_target, make_folder, write_text
from caller.planning.classfile import LEAST_MINUTES, MOST_MINUTES, SchoolClass, read_class
from caller.planning.lengths import SpokenLengths, spoken_lengths
from caller.planning.next_lessons import Timetable, plan_term
from caller.planning.notes import calendar, check_calendars, file_name, five_lines, overview, script
from caller.planning.plan import plan_lesson
from caller.planning.staging import Stage, stage_of
from caller.record.store import recall

_OVERVIEW = "overview.md"
_CALENDAR = "calendar.ics"
_MOST_LESSONS = 120
_USUAL_PER_WEEK, _MOST_PER_WEEK = 2, 5
_WEEKDAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_FIRST_YEAR, _LAST_YEAR = 2000, 2099
_EXAMPLE: Final = "2027-01-11"


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
    parser.add_argument(
        "--from",
        dest="begin",
        metavar="DATE",
        help=f"a term's first day, like {_EXAMPLE}: writes {_CALENDAR} too",
    )
    parser.add_argument(
        "--days", metavar="DAYS", help=f"days of the lessons, like mon,thu: {', '.join(_WEEKDAYS)}"
    )
    parser.add_argument(
        "--at", metavar="TIME", help="when a lesson begins, like 10:15; the whole day if left out"
    )
    parser.add_argument(
        "--not",
        dest="without",
        metavar="DATES",
        help="days without lessons, and from/to, like 2027-02-15/2027-02-19,2027-03-29",
    )
    add_replace(parser)


def run(arguments: argparse.Namespace) -> int:
    """Plan, write, and say in a few lines what was chosen."""
    timetable = _check(arguments)
    school_class = read_class(arguments.school_class)
    stage = _stage(school_class, arguments)
    with spoken_lengths(school_class.language) as lengths:
        if arguments.weeks is None:
            _lesson(arguments, school_class, stage, lengths)
        else:
            _term(arguments, school_class, stage, lengths, timetable)
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
    arguments: argparse.Namespace,
    school_class: SchoolClass,
    stage: Stage,
    lengths: SpokenLengths,
    timetable: Timetable | None,
) -> None:
    shown = recall(school_class.name)
    per_week = _per_week(arguments, timetable)
    dates = timetable.days(arguments.weeks * per_week) if timetable else []
    lessons = plan_term(
        school_class,
        weeks=arguments.weeks,
        per_week=per_week,
        stage=stage,
        lengths=lengths,
        minutes=arguments.minutes,
        focus=arguments.focus,
        seed=arguments.seed,
        known=shown.known,
        confused=shown.confused,
        recent=tuple(shown.times_days.items()),
        days=[float((day - dates[0]).days) for day in dates] or None,
    )
    files = {arguments.to / file_name(lesson): script(lesson.plan) for lesson in lessons}
    files[arguments.to / _OVERVIEW] = overview(lessons)
    told = f"{len(lessons)} lessons for the {school_class.name}. The overview is {arguments.to / _OVERVIEW}."
    if timetable:
        files[arguments.to / _CALENDAR] = calendar(lessons, timetable)
        told += f" The calendar, from {dates[0]} to {dates[-1]}, is {arguments.to / _CALENDAR}."
    _write(files, arguments)
    print(told)


def _check(arguments: argparse.Namespace) -> Timetable | None:
    _between("--minutes", arguments.minutes, LEAST_MINUTES, MOST_MINUTES)
    _between("--weeks", arguments.weeks, 1, 52)
    _between("--per-week", arguments.per_week, 1, _MOST_PER_WEEK)
    _between("--seed", arguments.seed, 0, 2**31 - 1)
    if arguments.weeks is None and arguments.per_week is not None:
        raise UserError("--per-week is for a term: write --weeks as well, or leave it out.")
    timetable = _timetable(arguments)
    if arguments.weeks is not None and arguments.weeks * _per_week(arguments, timetable) > _MOST_LESSONS:
        raise UserError(f"That is more than {_MOST_LESSONS} lessons. Plan a shorter term.")
    if arguments.weeks is None and arguments.to.suffix != ".toml":
        raise UserError(f'--to {arguments.to}: a lesson\'s name ends in .toml, like "monday.toml".')
    # Made and checked now: planning that cannot be written is waited for in vain.
    target = arguments.to if arguments.weeks is None else arguments.to / _OVERVIEW
    make_folder(target.parent)
    check_target(target, replace=arguments.replace, sources=[arguments.school_class])
    if timetable:
        check_calendars()
        timetable.days(arguments.weeks * len(timetable.weekdays))
    return timetable


def _per_week(arguments: argparse.Namespace, timetable: Timetable | None) -> int:
    usual: int = arguments.per_week or _USUAL_PER_WEEK
    return len(timetable.weekdays) if timetable else usual


def _timetable(arguments: argparse.Namespace) -> Timetable | None:
    """Return when the lessons of a term are; None where that is not told."""
    for option, value in (("--days", arguments.days), ("--at", arguments.at), ("--not", arguments.without)):
        if value is not None and arguments.begin is None:
            raise UserError(
                f"{option} needs the first day of the term: write --from as well, like --from {_EXAMPLE}."
            )
    if arguments.begin is None:
        return None
    if arguments.weeks is None:
        raise UserError("--from is for a term: write --weeks as well, or leave it out.")
    begin = _date("--from", arguments.begin)
    return Timetable(
        begin=begin,
        weekdays=_weekdays(arguments, begin),
        at=None if arguments.at is None else _time_of_day(arguments.at),
        without=tuple(map(_span, arguments.without.split(","))) if arguments.without else (),
    )


def _weekdays(arguments: argparse.Namespace, begin: date) -> frozenset[int]:
    if arguments.days is None:
        if arguments.per_week != 1:
            raise UserError(
                "A calendar needs the days of the lessons: write --days as well, like --days mon,thu."
            )
        return frozenset([begin.weekday()])
    named = [each.strip().lower() for each in arguments.days.split(",")]
    if not set(named) <= set(_WEEKDAYS) or not len(set(named)) == len(named) <= _MOST_PER_WEEK:
        raise UserError(
            f"--days {arguments.days}: write up to {_MOST_PER_WEEK} of {', '.join(_WEEKDAYS)}, "
            "each once, like mon,thu."
        )
    if arguments.per_week not in (None, len(named)):
        raise UserError(
            f"--per-week {arguments.per_week} and {len(named)} --days do not fit: leave --per-week out."
        )
    return frozenset(map(_WEEKDAYS.index, named))


def _date(option: str, written: str) -> date:
    try:
        day = date.fromisoformat(written.strip())
    except ValueError:
        raise UserError(f"{option} {written}: write year, month and day, like {_EXAMPLE}.") from None
    if not _FIRST_YEAR <= day.year <= _LAST_YEAR:
        raise UserError(f"{option} {written}: choose a year from {_FIRST_YEAR} to {_LAST_YEAR}.")
    return day


def _time_of_day(written: str) -> time:
    try:
        hours, minutes = written.split(":")
        return time(int(hours), int(minutes))
    except ValueError:
        raise UserError(f"--at {written}: write hours and minutes, like 10:15.") from None


def _span(written: str) -> tuple[date, date]:
    first, slash, last = written.partition("/")
    begin = _date("--not", first)
    end = _date("--not", last) if slash else begin
    if end < begin:
        raise UserError(f"--not {written}: write the earlier day first.")
    return begin, end


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

"""Say what was planned and why: comments in the script, five lines, one page on a term, and its calendar."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from importlib.util import find_spec
from types import MappingProxyType
from typing import Final
from uuid import NAMESPACE_URL, uuid5

from caller.clock import DayTime
from caller.clock.ladder import difficulty, step
from caller.errors import MachineError
from caller.languages.folders import table, words
from caller.lesson.writing import lesson_to_text
from caller.moves.effort import CUT_3
from caller.moves.safety import who_decides
from caller.planning.clocks import CROSSING, LESSONS_UNTIL_RETURN, SOURCES, Clock
from caller.planning.next_lessons import WEEKS_ON_A_STEP, TermLesson, Timetable
from caller.planning.plan import Plan
from caller.questions import question_kind
from caller.questions.on_the_dial import READ
from caller.questions.with_time import HALF_OF_DAY
from caller.runsheet.forms import clock as minutes_and_seconds

_HARD_BECAUSE: Final[Mapping[str, str]] = MappingProxyType(
    {
        "hour hand": "the short hand stands between two numerals",
        "counting": "the fives and ones have to be counted",
        "past the half hour": "the coming hour is in play",
        "hands overlap": "one hand covers the other",
        "twelve to one": "the hour goes from twelve to one",
    }
)
_READERS: Final[Mapping[str, str]] = MappingProxyType(
    {"none": "children who do not read words yet", "early": "early readers", "fluent": "fluent readers"}
)
_CALENDARS: Final = "icalendar"
_CALENDARS_ASKED_FOR: Final = f"{_CALENDARS}>=6.3,<8"


def script(plan: Plan) -> str:
    """Return the planned lesson as a script, with a comment on why each clock is there."""
    lesson = plan.lesson
    head = (
        f"Planned for the {plan.school_class.name}: {_name(lesson.step)}, {lesson.minutes} minutes.",
        "Change what you like, then look at it again:   hall-caller check and the name of this file",
        "Words and times stand in straight quotes; numbers do not. A line that begins with # is a note.",
        who_decides(),
    )
    comments = {
        "title": "shown large, and said at the start",
        "step": "how finely the class reads the clock; wrong readings fit it",
        "seed": "another number gives other choices and sides",
        "minutes": "the length of the period",
        "age": "how old the youngest are; moves and holds are as long as suits them",
        "think_seconds": "time to decide, standing still, and to do the move",
        "space_m": "free floor for each child, across",
        "seated": "only moves for chairs",
        "opening": "The warm-up rises from gentle to lively. Its seconds make the lesson fit.",
        "worked_example": "The caller reads this clock; the class only watches.",
        "practice": "No round to try out: the rules are told on the first clock.",
        "calm_last_round": "slow breaths end the lesson; true gives the last clock calm moves too",
        "close": "The calm end.",
    }
    for number, clock in enumerate(plan.clocks, start=1):
        comments[f"round {number}"] = _why(plan, clock)
    return lesson_to_text(lesson, head=head, comments=comments)


def five_lines(plan: Plan) -> list[str]:
    """Return what was chosen and why, in five lines."""
    lesson, dose = plan.lesson, plan.dose
    kinds = Counter(clock.kind or READ.code for clock in plan.clocks)
    asked = ", ".join(f"{count} {question_kind(kind).label}" for kind, count in kinds.most_common())
    length = f"{minutes_and_seconds(plan.length_s)} of {minutes_and_seconds(60.0 * (lesson.minutes or 0))}"
    short = ""
    if dose.short_of_guideline_s:
        short = f" Short of it by {dose.short_of_guideline_s / 60:.1f} min. {plan.still}".rstrip()
    sides = Counter(facts.answer for facts in plan.run_sheet.rounds if facts.moves)
    ending = _counted(lesson.close.breaths, "slow breath")
    bouts = f"{lesson.think_seconds} s to decide and move" if lesson.think_seconds else "bouts by age"
    minutes = lesson.minutes or plan.length_s / 60
    slow = f" {plan.slow[:1].upper()}{plan.slow[1:]}".rstrip()
    return [
        f"Clocks: {_clocks(plan)}.",
        f"Questions: {asked}; chosen for {_READERS[plan.school_class.reading]}.",
        (
            f"Time: {length} with every word said, with {lesson.opening.warm_up_seconds} s of warm-up "
            f"and {bouts}; {len(plan.clocks) / minutes:.2f} clocks a minute.{slow}"
        ),
        f"Moves: fair pairs only, as brisk as is safe. {dose.in_words()}{short}",
        (
            f"Sides: {sides['left']} times left, {sides['right']} times right, no pattern. "
            f"The end: {ending}. {who_decides()}"
        ),
    ]


def _clocks(plan: Plan) -> str:
    focus = plan.lesson.step
    back = [clock for clock in plan.clocks if clock.step != focus]
    new = _counted(len(plan.clocks) - len(back), "clock")
    told = [f"{new} on {_name(focus)}, from easy to hard"]
    if back:
        names = " and ".join(dict.fromkeys(_name(clock.step) for clock in back))
        told.append(f"{len(back)} back on {names}, because what returns is kept")
    if plan.again:
        told.append(f"{len(plan.again)} met in the last two weeks, for want of others")
    return "; ".join(told)


def _why(plan: Plan, clock: Clock) -> str:
    """Return why a clock is there, in one line."""
    if clock.step != plan.lesson.step:
        return f"Back to {_name(clock.step)}: what comes back after a while is kept."
    if clock.kind == HALF_OF_DAY.code:
        why = "A dial shows each of its times twice a day."
    elif isinstance(clock.time, DayTime):
        why = _about_the_hour(clock.time.hour)
    elif clock.change_minutes is not None:
        why = "Over the hour, which is what is hard." if clock.hardness >= CROSSING else "Within the hour."
    else:
        parts = difficulty(clock.dial).parts
        hardest = max(parts, key=lambda part: parts[part])
        name = _name(clock.step).capitalize()
        why = f"{name}, as easy as it gets."
        if parts[hardest]:
            why = f"{name}, {_hardness(parts)}. Here {_HARD_BECAUSE[hardest]}."
    if any(clock is each for each in plan.again):
        why += " The class met it lately; the step has no others left."
    return why


def _about_the_hour(hour: int) -> str:
    if hour == 0:
        return "After midnight the hour is nought."
    if hour == 12:
        return "At noon and just after, the hour is twelve."
    return "After noon twelve is added." if hour > 12 else "Before noon the hour stays as it is."


def _hardness(parts: Mapping[str, float]) -> str:
    score = sum(parts.values())
    return "easy" if score < 0.3 else "harder" if score < 0.6 else "hard"


def _name(code: str) -> str:
    return step(code).name.lower()


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


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


def check_calendars() -> None:
    """Refuse where the library that writes calendars is missing.

    Raises
    ------
    MachineError
        With the one command that mends it.
    """
    if find_spec(_CALENDARS) is None:
        raise MachineError(
            "The library that writes calendars is missing: install it once with "
            f'`"{sys.executable}" -m pip install "{_CALENDARS_ASKED_FOR}"`, or leave --from out.'
        )


def calendar(lessons: Sequence[TermLesson], timetable: Timetable) -> str:
    """Return the term as a calendar (RFC 5545), an event for each lesson, in the language of the class.

    A lesson is at the school's own time, wherever the calendar is opened; without a time, it is an event of
    the whole day, which blocks nothing. The same term gives the same text. A term that is planned again from
    the same day has the same events, so that a calendar takes the new ones in the place of the old.
    """
    from icalendar import Calendar, Event  # noqa: PLC0415 - an extra, and a while to load

    school_class = lessons[0].plan.school_class
    say = words(school_class.language, "sheet").say
    titles = table(school_class.language, "titles")
    whole = Calendar()
    whole.add("prodid", "-//hall-caller//lessons//EN")
    whole.add("version", "2.0")
    # It has to be there; the day of writing would make every copy another file.
    stamp = datetime.combine(timetable.begin, time(), UTC)
    for number, (lesson, day) in enumerate(zip(lessons, timetable.days(len(lessons)), strict=True)):
        event = Event()
        called = f"hall-caller:{school_class.name}/{timetable.begin.isoformat()}/{number}"
        event.add("uid", str(uuid5(NAMESPACE_URL, called)))
        event.add("dtstamp", stamp)
        for name, value in _when(lesson, day, timetable.at).items():
            event.add(name, value)
        event.add("summary", say("calendar.summary", name=school_class.name, title=lesson.plan.lesson.title))
        about = [
            say("minutes", n=lesson.plan.lesson.minutes),
            say("calendar.clocks", clocks=", ".join(str(clock.time) for clock in lesson.plan.clocks)),
        ]
        if lesson.returns:
            about.append(say("calendar.returns", titles="; ".join(titles[code] for code in lesson.returns)))
        event.add("description", "\n".join([*about, say("calendar.open", file=file_name(lesson))]))
        whole.add_component(event)
    return str(whole.to_ical(), "utf-8")


def _when(lesson: TermLesson, day: date, at: time | None) -> dict[str, date | str]:
    if at is None:
        return {"dtstart": day, "transp": "TRANSPARENT"}
    start = datetime.combine(day, at)
    return {"dtstart": start, "dtend": start + timedelta(minutes=lesson.plan.lesson.minutes or 0)}

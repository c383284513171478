"""A term as a calendar, by the letter of RFC 5545 and read back by the `icalendar` library."""

from __future__ import annotations

import re
from datetime import date, time, timedelta
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from caller.languages import CODES
from caller.lesson import LanguageCode
from caller.planning.classfile import SchoolClass
from caller.planning.next_lessons import TermLesson, Timetable, plan_term
from caller.planning.notes import calendar, file_name
from caller.planning.staging import Stage
from tests.planning.fakes import quiet_lengths

MONDAYS = Timetable(begin=date(2027, 1, 11), weekdays=frozenset([0]), at=time(10, 15))
NAME = 'Küstenseeschwalben; 2a, \\n "Nord" – am langen, langen Strand der Laternenbucht'


@cache
def term(language: LanguageCode = "en-GB", name: str = "Terns", lessons: int = 2) -> list[TermLesson]:
    return plan_term(
        SchoolClass(name=name, step="quarters", minutes=15, language=language),
        weeks=lessons,
        per_week=1,
        stage=Stage(),
        lengths=quiet_lengths(),
    )


@pytest.mark.parametrize("at", [time(10, 15), None])
def test_the_text_keeps_to_the_letter_of_the_standard(at: time | None) -> None:
    lessons = term("de", NAME)
    content = calendar(lessons, Timetable(begin=date(2027, 1, 11), weekdays=frozenset([0]), at=at)).encode()
    # RFC 5545, 3.1: lines end in CRLF and have at most 75 octets before it; a longer one is folded.
    assert content.endswith(b"\r\n")
    lines = content.removesuffix(b"\r\n").split(b"\r\n")
    assert not [line for line in lines if b"\r" in line or b"\n" in line]
    assert max(map(len, lines)) <= 75
    assert any(line.startswith(b" ") for line in lines)
    unfolded = content.replace(b"\r\n ", b"").decode("utf-8").removesuffix("\r\n").split("\r\n")
    # ... contentline = name *(";" param ) ":" value CRLF; no control characters but a tab.
    name, parameter = "[A-Z0-9-]+", r'(;[A-Z0-9-]+=("[^"]*"|[^";:,]*))'
    assert not [
        line for line in unfolded if not re.fullmatch(rf"{name}{parameter}*:[^\x00-\x08\x0a-\x1f\x7f]*", line)
    ]
    # 3.4, 3.6 and 3.7: one calendar; PRODID and VERSION once each, and events inside it.
    assert (unfolded[0], unfolded[-1]) == ("BEGIN:VCALENDAR", "END:VCALENDAR")
    assert unfolded.count("VERSION:2.0") == sum(line.startswith("PRODID:") for line in unfolded) == 1
    events = re.findall("BEGIN:VEVENT\n(.*?)\nEND:VEVENT", "\n".join(unfolded), re.DOTALL)
    assert len(events) == len(lessons)
    for event in events:
        called = [re.split("[;:]", line)[0] for line in event.splitlines()]
        # 3.6.1: UID and DTSTAMP have to be there, none of these twice; DTSTAMP is in UTC (3.8.7.2).
        assert len(called) == len(set(called)) >= 5
        assert {"UID", "DTSTAMP", "DTSTART", "SUMMARY", "DESCRIPTION"} <= set(called)
        assert re.search(r"^DTSTAMP:\d{8}T\d{6}Z$", event, re.MULTILINE)
        # 3.3.5, form 1: local time, the same on the wall in every zone; 3.3.4: a day has its type said.
        begins = r"DTSTART:\d{8}T101500" if at else r"DTSTART;VALUE=DATE:\d{8}"
        assert re.search(f"^{begins}$", event, re.MULTILINE)
        # 3.3.11: a comma, a semicolon, a backslash and a new line in a text are escaped.
        for value in re.findall("^(?:SUMMARY|DESCRIPTION):(.*)$", event, re.MULTILINE):
            assert not re.search(r"[,;]", re.sub(r"\\[\\;,nN]", "", value))
    assert len(set(re.findall("^UID:(.*)$", "\n".join(events), re.MULTILINE))) == len(lessons)


@pytest.mark.parametrize("language", CODES)
def test_an_outside_reader_finds_each_lesson(language: LanguageCode) -> None:
    lessons = term(language, NAME)
    read = Calendar.from_ical(calendar(lessons, MONDAYS))
    assert len(read.events) == len(lessons)
    for week, (event, lesson) in enumerate(zip(read.events, lessons, strict=True)):
        planned = lesson.plan.lesson
        # Without a zone: so it reads in every zone.
        assert event.start.isoformat() == f"2027-01-{11 + 7 * week}T10:15:00"
        assert event.end - event.start == timedelta(minutes=15)
        assert NAME in str(event["summary"])
        assert planned.title in str(event["summary"])
        told = str(event["description"]).split("\n")
        assert told[-1].endswith(file_name(lesson))
        assert [str(clock.time) for clock in lesson.plan.clocks] == told[1].partition(": ")[2].split(", ")


def test_without_a_time_a_lesson_takes_the_whole_day_and_blocks_none_of_it() -> None:
    (event,) = Calendar.from_ical(
        calendar(term(lessons=1), Timetable(begin=date(2027, 1, 12), weekdays=frozenset([0])))
    ).events
    assert (event.start, event["transp"]) == (date(2027, 1, 18), "TRANSPARENT")
    assert type(event.start) is date
    assert event.duration == timedelta(days=1)


def test_a_term_planned_again_has_the_same_events_and_another_class_has_others() -> None:
    def uids(name: str, at: time) -> list[str]:
        again = Timetable(begin=MONDAYS.begin, weekdays=frozenset([0]), at=at)
        return [str(event["uid"]) for event in Calendar.from_ical(calendar(term(name=name), again)).events]

    assert uids("Terns", time(8)) == uids("Terns", time(9))
    assert not set(uids("Terns", time(8))) & set(uids("Auks", time(8)))


DAYS = st.dates(date(2027, 1, 1), date(2027, 12, 31))


@given(
    DAYS,
    st.frozensets(st.integers(0, 6), min_size=1),
    st.lists(st.tuples(DAYS, st.integers(0, 20)), max_size=4),
    st.integers(1, 40),
)
def test_lessons_are_on_all_their_days_from_the_first_and_on_no_other(
    begin: date, weekdays: frozenset[int], breaks: list[tuple[date, int]], count: int
) -> None:
    without = tuple((first, first + timedelta(days=length)) for first, length in breaks)
    days = Timetable(begin=begin, weekdays=weekdays, without=without).days(count)
    off = {first + timedelta(days=n) for first, length in breaks for n in range(length + 1)}
    every = {begin + timedelta(days=n) for n in range((days[-1] - begin).days + 1)}
    assert days == sorted({day for day in every if day.weekday() in weekdays} - off)
    assert len(days) == count

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from icalendar import Calendar

from caller.cli import main, plan
from caller.lesson.library import read_lesson
from caller.planning.lengths import SpokenLengths
from tests.planning.fakes import quiet_lengths


@pytest.fixture(autouse=True)
def _quiet(monkeypatch: pytest.MonkeyPatch) -> None:
    @contextmanager
    def quietly(_expected: str) -> Iterator[SpokenLengths]:
        yield quiet_lengths()

    monkeypatch.setattr(plan, "spoken_lengths", quietly)


@pytest.fixture
def terns(tmp_path: Path) -> Path:
    path = tmp_path / "terns.toml"
    path.write_text('name = "Terns"\nage = "6-7"\nstep = "quarters"\nminutes = 15\n', encoding="utf-8")
    return path


def test_a_lesson_is_written_and_five_lines_say_why(
    terns: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    to = tmp_path / "monday.toml"
    assert main(["plan", str(terns), "--to", str(to)]) == 0
    said = capsys.readouterr().out.splitlines()
    assert [line.partition(":")[0] for line in said] == ["Clocks", "Questions", "Time", "Moves", "Sides"]
    lesson = read_lesson(to)
    assert (lesson.class_name, lesson.minutes, lesson.step) == ("Terns", 15, "quarters")
    assert to.read_text(encoding="utf-8").startswith(
        "# Planned for the Terns: quarter past and quarter to, 15 minutes.\n"
    )


def test_minutes_focus_and_seed_change_the_lesson(terns: Path, tmp_path: Path) -> None:
    to = tmp_path / "monday.toml"
    main(["plan", str(terns), "--to", str(to), "--minutes", "10", "--focus", "fives-past", "--seed", "5"])
    lesson = read_lesson(to)
    assert (lesson.minutes, lesson.step) == (10, "fives-past")
    other = tmp_path / "tuesday.toml"
    main(["plan", str(terns), "--to", str(other), "--minutes", "10", "--focus", "fives-past", "--seed", "6"])
    assert read_lesson(other) != lesson


def test_a_term_is_a_folder_of_lessons_with_an_overview(
    terns: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    to = tmp_path / "autumn"
    assert main(["plan", str(terns), "--weeks", "2", "--per-week", "3", "--to", str(to)]) == 0
    assert capsys.readouterr().out == f"6 lessons for the Terns. The overview is {to / 'overview.md'}.\n"
    lessons = sorted(to.glob("*.toml"))
    assert len(lessons) == 6
    page = (to / "overview.md").read_text(encoding="utf-8")
    assert all(path.name in page and read_lesson(path).class_name == "Terns" for path in lessons)


WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DATED = ["--weeks", "2", "--from", "2027-01-11"]


def test_a_term_with_dates_has_a_calendar_beside_its_lessons(
    terns: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    to = tmp_path / "spring"
    words = [
        "plan",
        str(terns),
        *DATED,
        "--days",
        "thu,mon",
        "--at",
        "9:05",
        "--not",
        "2027-01-18",
        "--to",
        str(to),
    ]
    assert main(words) == 0
    assert capsys.readouterr().out == (
        f"4 lessons for the Terns. The overview is {to / 'overview.md'}. "
        f"The calendar, from 2027-01-11 to 2027-01-25, is {to / 'calendar.ics'}.\n"
    )
    content = (to / "calendar.ics").read_bytes()
    events = Calendar.from_ical(content).events
    assert [event.start.isoformat() for event in events] == [
        f"2027-01-{day}T09:05:00" for day in (11, 14, 21, 25)
    ]
    lessons = sorted(to.glob("*.toml"))
    assert all(path.name in str(event["description"]) for path, event in zip(lessons, events, strict=True))
    assert main([*words, "--replace"]) == 0
    assert (to / "calendar.ics").read_bytes() == content  # nothing in it comes from the time of writing


def test_without_a_first_day_there_is_no_calendar(terns: Path, tmp_path: Path) -> None:
    assert main(["plan", str(terns), "--weeks", "1", "--to", str(tmp_path / "term")]) == 0
    assert not list(tmp_path.rglob("*.ics"))


def test_once_a_week_is_on_the_weekday_of_the_first_day(terns: Path, tmp_path: Path) -> None:
    assert main(["plan", str(terns), *DATED, "--per-week", "1", "--to", str(tmp_path / "term")]) == 0
    events = Calendar.from_ical((tmp_path / "term" / "calendar.ics").read_bytes()).events
    assert [event.start.isoformat() for event in events] == ["2027-01-11", "2027-01-18"]


def test_without_the_extra_one_sentence_says_how_to_have_a_calendar(
    terns: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("caller.planning.notes.find_spec", lambda name: None)
    monkeypatch.delattr("caller.cli.plan.plan_term")  # it is told before anything is planned
    to = tmp_path / "term"
    assert main(["plan", str(terns), *DATED, "--days", "mon", "--to", str(to)]) == 1
    told = capsys.readouterr().err
    assert told.startswith(
        "hall-caller: The library that writes calendars is missing: install it once with `"
    )
    assert 'pip install "icalendar' in told
    assert told.endswith("`, or leave --from out.\n")
    assert not list(to.iterdir())


def _told(words: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert main(words) == 2
    return capsys.readouterr().err


def test_a_file_that_is_there_is_kept_unless_told_otherwise(
    terns: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    to = tmp_path / "monday.toml"
    to.write_text("mine", encoding="utf-8")
    with monkeypatch.context() as patch:
        patch.delattr("caller.cli.plan.plan_lesson")  # it is refused before anything is planned
        told = _told(["plan", str(terns), "--to", str(to)], capsys)
    assert told == f'hall-caller: "{to}" is there already. Choose another name, or add --replace.\n'
    assert to.read_text(encoding="utf-8") == "mine"
    assert main(["plan", str(terns), "--to", str(to), "--replace"]) == 0
    assert read_lesson(to).class_name == "Terns"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--minutes", "4"], "--minutes 4: choose from 5 to 60."),
        (["--weeks", "0"], "--weeks 0: choose from 1 to 52."),
        (["--weeks", "2", "--per-week", "9"], "--per-week 9: choose from 1 to 5."),
        (["--per-week", "2"], "--per-week is for a term: write --weeks as well, or leave it out."),
        (["--weeks", "52", "--per-week", "5"], "That is more than 120 lessons. Plan a shorter term."),
        (["--from", "2027-01-11"], "--from is for a term: write --weeks as well, or leave it out."),
        (
            ["--weeks", "2", "--at", "9:00"],
            "--at needs the first day of the term: write --from as well, like --from 2027-01-11.",
        ),
        (DATED, "A calendar needs the days of the lessons: write --days as well, like --days mon,thu."),
        (
            [*DATED, "--days", "mon", "--per-week", "2"],
            "--per-week 2 and 1 --days do not fit: leave --per-week out.",
        ),
        *(
            (
                [*DATED, "--days", days],
                f"--days {days}: write up to 5 of {', '.join(WEEK)}, each once, like mon,thu.",
            )
            for days in ("mo", "mon,mon", "mon,tue,wed,thu,fri,sat", "")
        ),
        *(
            ([*DATED, "--days", "mon", "--at", at], f"--at {at}: write hours and minutes, like 10:15.")
            for at in ("25:00", "10", "10:15:00", "ten")
        ),
        (
            ["--weeks", "2", "--from", "11.1.2027"],
            "--from 11.1.2027: write year, month and day, like 2027-01-11.",
        ),
        (["--weeks", "2", "--from", "9999-12-31"], "--from 9999-12-31: choose a year from 2000 to 2099."),
        (
            [*DATED, "--days", "mon", "--not", "2027-02-19/2027-02-15"],
            "--not 2027-02-19/2027-02-15: write the earlier day first.",
        ),
        (
            [*DATED, "--days", "mon", "--not", "2027-01-12/2099-01-01"],
            "Within two years there is room for 1 of 2 lessons: leave out fewer days.",
        ),
        (["--seed", "-1"], "--seed -1: choose from 0 to 2147483647."),
    ],
)
def test_what_cannot_be_meant_is_told(
    words: list[str], told: str, terns: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert (
        _told(["plan", str(terns), "--to", str(tmp_path / "x.toml"), *words], capsys)
        == f"hall-caller: {told}\n"
    )


def test_a_lessons_name_ends_in_toml(terns: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _told(["plan", str(terns), "--to", "monday"], capsys) == (
        'hall-caller: --to monday: a lesson\'s name ends in .toml, like "monday.toml".\n'
    )


def test_a_hall_file_must_stand_beside_the_lesson(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "our-hall.toml").write_text('like = "gym"\n', encoding="utf-8")
    auks = tmp_path / "auks.toml"
    auks.write_text('name = "Auks"\nhall = "our-hall.toml"\nminutes = 15\n', encoding="utf-8")
    elsewhere = tmp_path / "elsewhere" / "monday.toml"
    assert _told(["plan", str(auks), "--to", str(elsewhere)], capsys) == (
        'hall-caller: The lesson needs the hall file "our-hall.toml" beside it. '
        "Write it into the folder of the class file.\n"
    )
    beside = tmp_path / "monday.toml"
    assert main(["plan", str(auks), "--to", str(beside)]) == 0
    assert read_lesson(beside).hall == "our-hall.toml"


def test_pupils_names_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "terns.toml"
    path.write_text('name = "Terns"\npupils = ["Ann", "Bo"]\n', encoding="utf-8")
    told = _told(["plan", str(path), "--to", str(tmp_path / "x.toml")], capsys)
    assert told.startswith(
        "hall-caller: terns.toml, line 2, column 1: pupils: this looks like a list of pupils' names."
    )


def test_a_folder_that_cannot_be_written_is_told(
    terns: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    to = tmp_path / "file" / "monday.toml"
    assert _told(["plan", str(terns), "--to", str(to)], capsys) == (
        f'hall-caller: "{to.parent}" is there already, and is no folder. Choose another name.\n'
    )

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest

from caller.clock import ClockTime
from caller.record import LessonKept, Tally
from caller.record.knowledge import DAY_S, know
from caller.record.telling import COLUMNS, as_csv, as_dict, in_words, next_step, sentences, what_happened
from tests.record.conftest import Asked, a_round

MOST, FEW = Tally(judgement="most"), Tally(judgement="few")
LessonOn = Callable[[float, Sequence[Asked]], LessonKept]


def test_three_sentences_tell_what_is_read_what_is_mixed_up_and_what_comes_back(lesson_on: LessonOn) -> None:
    lessons = [
        lesson_on(day, [("9:00", "7:00", MOST)] * 4 + [("7:45", "8:45", FEW)] * 2) for day in (0, 3, 6)
    ]
    reads, mixes, back = sentences("Terns", lessons, know(lessons, 9 * DAY_S))
    assert reads.startswith("The Terns had 3 lessons and read well up to o'clock, known by about ")
    assert mixes.startswith("What they mix up most: hour taken ")
    assert mixes.endswith("last offered 3 days ago.")
    assert back.startswith("What should come back next: quarter past and quarter to, last tallied 3 days ago")


def test_a_class_that_was_never_tallied_is_told_how_to(lesson_on: LessonOn) -> None:
    lessons = [lesson_on(0, [("9:00", "7:00", None)])]
    assert sentences("Terns", lessons, know(lessons, DAY_S)) == (
        (
            "The Terns had 1 lesson, none of them tallied: "
            "press m, a or n after an answer to say that most, about half or few had it."
        ),
        "No mix-up has been tallied yet.",
        "What comes back next follows from the class file alone until then.",
    )


def test_a_class_moves_up_once_its_step_is_known_well_and_not_before(lesson_on: LessonOn) -> None:
    well = [lesson_on(day, [("9:30", "2:30", MOST)] * 6) for day in (0, 3)]
    badly = [lesson_on(day, [("9:30", "2:30", FEW)] * 6) for day in (0, 3)]
    assert next_step(know(well, 4 * DAY_S), "half-past") == "quarters"
    assert next_step(know(badly, 4 * DAY_S), "half-past") == "half-past"
    assert next_step(know((), 0.0), "half-past") == "half-past"


def test_the_table_has_a_line_for_every_round_and_reads_back(lesson_on: LessonOn) -> None:
    text = as_csv([lesson_on(0, [("7:45", "8:45", FEW), ("9:30", "10:30", None)])])
    rows = list(csv.DictReader(io.StringIO(text)))
    assert tuple(rows[0]) == COLUMNS
    assert [row["time"] for row in rows] == ["7:45", "9:30"]
    assert rows[0]["mixups"] == "hour-to-larger+hour-to-nearest"
    assert [row["judgement"] for row in rows] == ["few", ""]


def test_data_for_other_programs_holds_every_step_and_every_lesson(lesson_on: LessonOn) -> None:
    lessons = [lesson_on(0, [("7:45", "8:45", FEW)])]
    told = as_dict("Terns", lessons, know(lessons, DAY_S))
    assert told["steps"]["quarters"]["half_life_days"] is not None
    assert told["steps"]["minutes"]["half_life_days"] is None
    assert told["lessons"][0]["minutes"] == 15.0
    assert told["lessons"][0]["rounds"][0]["time"] == "7:45"


def test_who_comes_back_reads_what_happened_in_a_few_lines(lesson_on: LessonOn) -> None:
    lesson = lesson_on(0, [("7:45", "8:45", FEW), ("9:30", "10:30", None)])
    again = replace(a_round(1, "2:45", "3:45", None, 90.0), part="reteach")
    assert what_happened(replace(lesson, rounds=(*lesson.rounds, again))) == (
        "Clocks answered: 2.",
        "Tallied: 1.",
        f"Few had {ClockTime(7, 45)}. This comes back.",
        "Taught again with 2:45.",
    )
    french = what_happened(lesson, "fr")
    assert french[0] == "Horloges traitées\u00a0: 2."
    assert french[2] == "Peu avaient 7\u00a0h\u00a045. Cela reviendra."


@pytest.mark.parametrize(
    ("count", "words"),
    [(0, "hardly anybody"), (6, "few"), (12, "about half"), (18, "most"), (25, "nearly all")],
)
def test_what_was_counted_by_ear_is_told_in_words(count: int, words: str) -> None:
    told = in_words([float(each == count) for each in range(26)])
    assert told == f"{words} ({4 * count} to {4 * count} %)"


def test_what_an_ear_does_not_know_is_not_told() -> None:
    assert in_words([1 / 26] * 26).startswith("not sure (")


def test_the_table_tells_what_was_counted_by_ear(lesson_on: LessonOn) -> None:
    lesson = lesson_on(0, [("7:45", "8:45", None)])
    heard = replace(lesson, rounds=tuple(replace(each, heard=(0.0, 0.0, 1.0)) for each in lesson.rounds))
    (row,) = csv.DictReader(io.StringIO(as_csv([heard])))
    assert row["heard"] == "nearly all (100 to 100 %)"
    assert row["present"] == str(lesson.present)

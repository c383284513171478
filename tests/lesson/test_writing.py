from __future__ import annotations

import importlib.util
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from caller.clock import ClockTime
from caller.lesson import Example, Lesson, Round, Voice
from caller.lesson.library import lesson_from_text, read_lesson, ready_lessons
from caller.lesson.writing import lesson_to_text
from caller.scripts.source import ScriptProblems, parse
from caller.scripts.tables import read_source


def _strategies() -> Any:
    spec = importlib.util.spec_from_file_location(
        "lesson_strategies", Path(__file__).with_name("strategies.py")
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


LESSONS: st.SearchStrategy[Lesson] = _strategies().tables(Lesson)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(LESSONS)
def test_what_is_written_reads_back_to_the_same_lesson(lesson: Lesson) -> None:
    # Each key comes back, whether or not the keys make sense together (a middle side with two choices).
    read, place = read_source(Lesson, parse(lesson_to_text(lesson), "x.toml"))
    assert place.problems == []
    assert read == lesson


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=50)
@given(LESSONS, st.text(max_size=30))
def test_a_comment_never_changes_the_lesson(lesson: Lesson, comment: str) -> None:
    comments = {
        key: "".join(filter(str.isprintable, comment)) for key in ("title", "voice", "round 1", "step")
    }
    text = lesson_to_text(lesson, comments=comments)
    assert tomllib.loads(text) == tomllib.loads(lesson_to_text(lesson, comments={}))


def test_every_ready_lesson_survives_a_rewrite() -> None:
    for path in ready_lessons().values():
        lesson = read_lesson(path)
        assert lesson_from_text(lesson_to_text(lesson)) == lesson


def test_a_written_lesson_reads_like_one_a_teacher_wrote() -> None:
    lesson = Lesson(
        title="Half past",
        class_name="Puffins",
        voice=Voice(rate_wpm=110),
        worked_example=Example(time=ClockTime(3, 30)),
        rounds=(
            Round(time=ClockTime(4, 30)),
            Round(time=ClockTime(9, 0), wrong=(ClockTime(12, 45),), moves=("march", "squats"), answer="left"),
        ),
    )
    text = lesson_to_text(
        lesson,
        head=["For the Puffins."],
        comments={"title": "half-hours", "voice": "slowly", "round 2": "the hands swap"},
    )
    assert (
        text
        == """\
# For the Puffins.

title = "Half past" # half-hours
class = "Puffins"

# slowly
[voice]
rate_wpm = 110

[worked_example]
time = "3:30"

[[round]]
time = "4:30"

# the hands swap
[[round]]
time = "9:00"
wrong = "12:45"
moves = ["march", "squats"]
answer = "left"
"""
    )


def test_a_lesson_without_rounds_is_written_and_refused_on_reading() -> None:
    with pytest.raises(ScriptProblems, match="this lesson has no rounds"):
        lesson_from_text(lesson_to_text(Lesson()))

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.clock import ClockTime, DayTime
from caller.errors import NotFoundError
from caller.lesson import MOST_ROUNDS, Lesson, Round
from caller.lesson.library import find_lesson, lesson_from_text, read_lesson, ready_lessons
from caller.scripts.source import ScriptProblems


def _says(text: str) -> list[str]:
    with pytest.raises(ScriptProblems) as caught:
        lesson_from_text(text)
    return [line.removeprefix("lesson.toml, ") for line in str(caught.value).splitlines()]


def _round(text: str) -> list[str]:
    return _says(f"[[round]]\n{text}\n")


def test_a_time_alone_is_a_whole_round_and_a_whole_lesson() -> None:
    lesson = lesson_from_text('[[round]]\ntime = "4:40"')
    assert lesson == Lesson(rounds=(Round(time=ClockTime(4, 40)),))
    assert lesson.rounds[0].kind == "read"


def test_every_problem_is_told_at_once_in_the_order_of_the_file() -> None:
    text = """\
title = 5
clas = "Terns"
think_seconds = "25"
[voice]
rate_wpm = true
[[round]]
time = "4.70"
moves = ["star-jumps", "knee-lft"]
[[round]]
time = 4.40
wrong = ["8:20", "4:61"]
"""
    assert _says(text) == [
        'line 1, column 9: title: this needs words, and has 5. Put it in straight quotes, like "Terns".',
        "line 2, column 1: clas: there is no such key. Did you mean class?",
        (
            'line 3, column 17: think_seconds: this needs a whole number, and has "25". '
            "Write a number like 3, without quotes."
        ),
        (
            "line 5, column 12: voice, rate_wpm: this needs a whole number, and has true. "
            "Write a number like 80, without quotes."
        ),
        (
            'line 7, column 8: round 1, time: "4.70" is not a time: the minutes go from 00 to 59. '
            'Write hour, colon, minutes, like "4:40".'
        ),
        'line 8, column 24: round 1, moves 2: there is no move called "knee-lft". Did you mean knee-lifts?',
        'line 10, column 8: round 2, time: 4.40 is a number, not a time. Write "4:40" if that is meant.',
        (
            'line 11, column 18: round 2, wrong 2: "4:61" is not a time: the minutes go from 00 to 59. '
            'Write hour, colon, minutes, like "4:40".'
        ),
    ]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            'time = "4.40"',
            'line 2, column 8: round 1, time: "4.40" has no colon. Write "4:40" if that is meant.',
        ),
        (
            "time = 04:40:00",
            'line 2, column 8: round 1, time: this time has no quotes, or has seconds. Write "4:40".',
        ),
        (
            'time = "soon"',
            (
                'line 2, column 8: round 1, time: "soon" is not written as a time. '
                'Write hour, colon, minutes, like "4:40".'
            ),
        ),
        (
            "time = 440",
            (
                "line 2, column 8: round 1, time: this needs a time. "
                'Write hour, colon, minutes in quotes, like "4:40".'
            ),
        ),
        (
            'time = "16:40"',
            (
                "line 2, column 8: round 1, time: 16:40 is a time of day, and a dial shows 1 to 12. "
                'Write "4:40", or kind = "day-part".'
            ),
        ),
        (
            'time = "4:40"\nwrong = "4:40"',
            (
                "line 3, column 9: round 1, wrong: this is the right reading too. "
                "Choose another time, or leave it out."
            ),
        ),
        (
            'time = "4:40"\nmoves = ["march"]',
            (
                "line 3, column 9: round 1, moves: moves for 2 choices are needed, and there are 1. "
                "Name one move for each, from left to right."
            ),
        ),
        (
            'moves = ["march", "march"]',
            (
                "line 2, column 9: round 1, moves: the same move is here twice. "
                "Give each choice a move of its own."
            ),
        ),
        (
            'answer = "middle"',
            'line 2, column 10: round 1, answer: two choices have no middle. Write "left" or "right".',
        ),
        (
            'answer = "lefft"',
            'line 2, column 10: round 1, answer: "lefft" is not known here. Did you mean left?',
        ),
        (
            'wrong = ["1:00", "2:00"]',
            (
                "line 2, column 9: round 1, wrong: there are more readings than choices. "
                "Take one out, or write choices = 3."
            ),
        ),
        (
            'claim = "4:40"',
            (
                "line 2, column 1: round 1, claim: only is-it-so has a claim. "
                'Take it out, or write kind = "is-it-so".'
            ),
        ),
        (
            "think_seconds = 1000",
            (
                "line 2, column 17: round 1, think_seconds: 1000 is outside what this may be. "
                "Choose from 3 to 120 seconds."
            ),
        ),
        (
            'say = "<speak>"',
            (
                "line 2, column 7: round 1, say: these words hold a bracket, a backslash "
                "or an unseen letter. Use plain words only."
            ),
        ),
        (
            f'say = "{"very " * 100}"',
            (
                "line 2, column 7: round 1, say: this is 499 letters long. "
                "Keep it to 300, so that it can be said in one go."
            ),
        ),
        ("zzzz = 1", "line 2, column 1: round 1, zzzz: there is no such key. Take it out, or use one of "),
    ],
)
def test_each_key_tells_what_it_may_hold(text: str, says: str) -> None:
    (said,) = _round(text)
    assert said.startswith(says)
    assert said == says or says.endswith("one of ")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            'title = "Clocks"',
            'line 1, column 1: this lesson has no rounds. Add [[round]] and below it time = "4:40".',
        ),
        (
            "round = 3",
            "line 1, column 9: round: this needs headings in double brackets. Write [[round]] above each.",
        ),
        (
            "[[round]]\n" * (MOST_ROUNDS + 1),
            "line 1, column 1: round: there are 61 of these. Keep it to 60.",
        ),
        (
            "voice = 3\n[[round]]",
            (
                "line 1, column 9: voice: this needs named values. "
                "Write it as a heading, [voice], with keys below."
            ),
        ),
        (
            "space_m = nan\n[[round]]",
            "line 1, column 11: space_m: nan is outside what this may be. Choose from 0.5 to 10 metres.",
        ),
        (
            'hall = "../secret.toml"\n[[round]]',
            (
                'line 1, column 8: hall: "../secret.toml" is not a file\'s name. '
                'Name a file in the same folder, like "hall.toml".'
            ),
        ),
        (
            'worked_example = { time = "3:0" }\n[[round]]',
            (
                'line 1, column 27: worked_example, time: "3:0" is not written as a time. '
                'Write hour, colon, minutes, like "4:40".'
            ),
        ),
        (
            "format = 2\n[[round]]",
            "line 1, column 10: format: 2 is outside what this may be. Choose from 1 to 1.",
        ),
    ],
)
def test_the_lesson_as_a_whole_is_checked(text: str, says: str) -> None:
    assert _says(text) == [says]


def test_many_problems_are_cut_short() -> None:
    text = "\n".join(f"unknown{n} = 1" for n in range(50)) + "\n[[round]]\n"
    said = _says(text)
    assert len(said) == 21
    assert said[-1] == "lesson.toml: and 30 more like these. Mend the first ones, then read it again."


@pytest.mark.parametrize(
    ("written", "time"),
    [
        ("16:40", DayTime(16, 40)),
        ("4:40 pm", DayTime(16, 40)),
        ("4:40pm", DayTime(16, 40)),
        ("12:05 a.m.", DayTime(0, 5)),
        ("12:05 PM", DayTime(12, 5)),
        ("0:15", DayTime(0, 15)),
        ("9:15", ClockTime(9, 15)),
        ("09:15", ClockTime(9, 15)),
    ],
)
def test_a_time_of_day_may_be_written_in_both_ways(written: str, time: ClockTime | DayTime) -> None:
    lesson = lesson_from_text(f'[[round]]\nkind = "day-part"\ntime = "{written}"')
    assert lesson.rounds[0].time == time


@pytest.mark.parametrize("path", ready_lessons().values(), ids=lambda path: path.stem)
def test_every_ready_lesson_reads(path: Path) -> None:
    assert read_lesson(path).rounds


def _problems(text: str) -> ScriptProblems | None:
    try:
        lesson_from_text(text)
    except ScriptProblems as problems:
        return problems
    return None


@given(st.text(max_size=300))
def test_any_text_is_a_lesson_or_a_sentence(text: str) -> None:
    problems = _problems(text)
    assert problems is None or str(problems).startswith("lesson.toml, line ")


_KEYS = st.sampled_from(
    ["title", "time", "wrong", "moves", "round", "voice", "kind", "claim", "close", "seed", "x"]
)
_VALUES = st.sampled_from(
    [
        '"4:40"',
        "4",
        "4.4",
        "true",
        "[]",
        '["march", 3, [1]]',
        "{}",
        "{time = 1}",
        "nan",
        "07:32:00",
        "[{}]",
        '"a\\u0000"',
    ]
)
_LINES = st.one_of(
    st.builds("{} = {}".format, _KEYS, _VALUES),
    st.builds("[{}]".format, _KEYS),
    st.builds("[[{}]]".format, _KEYS),
)


@given(st.lists(_LINES, max_size=8).map("\n".join))
def test_any_mix_of_keys_and_values_is_a_lesson_or_a_sentence(text: str) -> None:
    problems = _problems(text)
    for problem in problems.problems if problems else ():
        assert 1 <= problem.line <= text.count("\n") + 1
        assert problem.column >= 1


def test_a_ready_lesson_is_found_by_its_name() -> None:
    assert find_lesson("demo").name == "demo.toml"
    assert find_lesson("is-it-so") == ready_lessons()["is-it-so"]


def test_no_two_ready_lessons_share_a_name() -> None:
    folder = find_lesson("demo").parent
    assert len(ready_lessons()) == len(list(folder.rglob("*.toml")))


def test_a_file_is_found_by_its_path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "demo"
    path.write_text("x = 1")
    assert find_lesson(str(path)) == path
    monkeypatch.chdir(tmp_path)
    assert find_lesson("demo") == Path("demo")


def test_a_misspelt_name_gets_a_suggestion() -> None:
    with pytest.raises(NotFoundError) as near:
        find_lesson("dmo.toml")
    assert str(near.value) == 'There is no lesson "dmo.toml". Did you mean the ready lesson "demo"?'
    with pytest.raises(NotFoundError) as far:
        find_lesson("/nowhere/xyzzy123.toml")
    assert str(far.value) == 'There is no lesson "/nowhere/xyzzy123.toml". Check its name and its folder.'

"""A lesson script read, with all its problems told at once."""

from __future__ import annotations

from pathlib import Path

from caller.clock.times import ClockTime, DayTime
from caller.lesson.model import Lesson, Practice, Round
from caller.questions import KINDS_OF_QUESTION, question_kind
from caller.scripts.source import TomlSource, load, parse
from caller.scripts.tables import FilePlace, finish, in_words, read_source


def read_lesson(path: Path) -> Lesson:
    """Return the lesson in the file at `path`.

    Raises
    ------
    NotFoundError
        If there is no such file.
    ScriptProblems
        If it cannot be used as it stands; every problem found is in it.
    """
    return _lesson(load(path))


def lesson_from_text(text: str, name: str = "lesson.toml") -> Lesson:
    """Return the lesson in `text`; `name` is what errors call the file."""
    return _lesson(parse(text, name))


def _lesson(source: TomlSource) -> Lesson:
    lesson, place = read_source(Lesson, source)
    if "round" not in source.data:
        place.report("this lesson has no rounds.", 'Add [[round]] and below it time = "4:40".')
    for index, each in enumerate(lesson.rounds):
        _check_round(each, lesson, place.inside("round").inside(index))
    if not lesson.practice.skip:
        _check_practice(lesson.practice, lesson, place.inside("practice"))
    finish(place)
    return lesson


def _check_round(each: Round, lesson: Lesson, place: FilePlace) -> None:
    kind = question_kind(each.kind)
    choices = kind.choices_of(each.choices or lesson.choices)
    if not kind.day_time:
        _dial_only(each.time, place.inside("time"))
        for wrong in each.wrong:
            _dial_only(wrong, place.inside("wrong"))
    if each.claim is not None and not kind.claims:
        claiming = " and ".join(each.code for each in KINDS_OF_QUESTION if each.claims)
        place.inside("claim").report(
            f"only {claiming} has a claim.", f'Take it out, or write kind = "{claiming}".', at_key=True
        )
    if each.time is not None and each.time in each.wrong:
        place.inside("wrong").report(
            "this is the right reading too.", "Choose another time, or leave it out."
        )
    if len(set(each.wrong)) < len(each.wrong):
        place.inside("wrong").report(
            "the same reading is here twice.", "Choose another time for one of them."
        )
    if not choices:
        return
    _check_moves(each.moves, choices, place)
    if each.answer == "middle" and choices == 2:
        place.inside("answer").report("two choices have no middle.", 'Write "left" or "right".')
    if len(each.wrong) > choices - 1:
        place.inside("wrong").report(
            "there are more readings than choices.", "Take one out, or write choices = 3."
        )


def _check_practice(practice: Practice, lesson: Lesson, place: FilePlace) -> None:
    if practice.time is not None and practice.time in practice.wrong:
        place.inside("wrong").report(
            "this is the right reading too.", "Choose another time, or leave it out."
        )
    _check_moves(practice.moves, lesson.choices, place)


def _check_moves(moves: tuple[str, ...], choices: int, place: FilePlace) -> None:
    told = in_words((*place.path, "moves"))
    if any(problem.key_path.startswith(told) for problem in place.problems):
        return  # a misspelt move is missing from the list; one sentence about it is enough
    if moves and len(moves) != choices:
        place.inside("moves").report(
            f"moves for {choices} choices are needed, and there are {len(moves)}.",
            "Name one move for each, from left to right.",
        )
    elif len(set(moves)) < len(moves):
        place.inside("moves").report("the same move is here twice.", "Give each choice a move of its own.")


def _dial_only(time: ClockTime | DayTime | None, place: FilePlace) -> None:
    if isinstance(time, DayTime):
        of_day = next(each.code for each in KINDS_OF_QUESTION if each.day_time)
        place.report(
            f"{time} is a time of day, and a dial shows 1 to 12.",
            f'Write "{time.dial}", or kind = "{of_day}".',
        )

"""Find a lesson, a file or a ready one or one's own by its name or title, and read it with all its
problems.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from caller.clock import ClockTime, DayTime
from caller.errors import CallerError, NotFoundError, UserError
from caller.file_reading import files_under, is_file, read_bytes
from caller.lesson import Lesson, Practice, Round
from caller.paths import packaged, user_data
from caller.questions import KINDS_OF_QUESTION, question_kind
from caller.scripts.source import MAX_BYTES, TomlSource, load, parse
from caller.scripts.tables import FilePlace, finish, in_words, nearest, read_source

_HALLS: Final = frozenset({"like", "length_m"})
"""One of these stands in every hall file, and none in a lesson."""


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


def ready_lessons() -> dict[str, Path]:
    """Return the ready lessons by name, in order; the name is the file's without its ending."""
    return {path.stem: path for path in files_under(packaged("lessons"), ".toml")}


def own_folder() -> Path:
    """Return the folder in which the teacher's own lessons are looked for."""
    return user_data() / "lessons"


def own_lessons() -> dict[str, Path]:
    """Return the teacher's own lessons by name, in order; none where their folder may not be read."""
    try:
        return {path.stem: path for path in sorted(own_folder().glob("*.toml")) if not _is_hall(path)}
    except OSError:
        return {}


def find_lesson(wanted: str) -> Path:
    """Return the path of a lesson named by its file, or by the name or title of an own or a ready one.

    Raises
    ------
    NotFoundError
        If there is none; the text names the nearest ready lesson.
    UserError
        If several have this title.
    """
    path = Path(wanted)
    if is_file(path):
        return path
    named = ready_lessons() | own_lessons()
    if wanted in named:
        return named[wanted]
    titled = [each for each in named.values() if _alike(wanted) and _alike(wanted) == _alike(_title(each))]
    if len(titled) == 1:
        return titled[0]
    if titled:
        names = ", ".join(f'"{each.stem}"' for each in titled)
        raise UserError(f'{len(titled)} lessons are called "{wanted}": choose one by its name, {names}.')
    raise NotFoundError(f'There is no lesson "{wanted}". {_mend(path, named)}')


def _mend(path: Path, named: dict[str, Path]) -> str:
    near = nearest(path.stem, named)
    if near:
        return f'Did you mean the ready lesson "{near}"?'
    return "Check its name and its folder."


def _title(path: Path) -> str:
    title = _loosely(path).get("title")
    return title if isinstance(title, str) else ""


def _is_hall(path: Path) -> bool:
    """Tell whether it is a hall file, which lies beside the lessons that name it."""
    written = _loosely(path)
    return "round" not in written and not _HALLS.isdisjoint(written)


def _loosely(path: Path) -> dict[str, Any]:
    """Return what a file says; nothing where it cannot be read: `hall-caller check` says what is wrong."""
    try:
        return tomllib.loads(read_bytes(path, most_bytes=MAX_BYTES).decode("utf-8-sig"))
    except (CallerError, ValueError, RecursionError):
        return {}


def _alike(title: str) -> str:
    """Return a title as it is compared: capitals, marks and the width of spaces do not matter."""
    return "".join(_letters(title))


def _letters(title: str) -> Iterator[str]:
    return (letter for letter in title.casefold() if letter.isalnum())

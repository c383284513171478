"""The ready lessons: what they cover, and that each passes its check, by a quiet and by the real voice."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

from caller.clock.ladder import STEP_CODES
from caller.lesson.library import lesson_from_text, read_lesson, ready_lessons
from caller.moves import find
from caller.paths import packaged
from caller.planning.checks import look_over
from caller.planning.fitting import TOLERANCE_S
from caller.planning.lengths import spoken_lengths
from caller.planning.staging import rehearse, rehearse_file, stage_of
from caller.questions import QUESTION_CODES
from tests.planning.fakes import quiet_lengths

LENGTHS = quiet_lengths()
EVERY = ready_lessons()
BY_STEP = {name: path for name, path in EVERY.items() if path.parent.name in STEP_CODES}


def test_there_are_at_least_thirty_and_some_on_every_step_of_the_ladder() -> None:
    assert len(BY_STEP) >= 30
    steps = Counter(path.parent.name for path in BY_STEP.values())
    assert set(steps) == set(STEP_CODES)
    assert min(steps.values()) >= 2


def test_no_two_have_the_same_name() -> None:
    files = list(packaged("lessons").rglob("*.toml"))
    assert len({path.stem for path in files}) == len(files) == len(EVERY)
    assert max(len(path.stem) for path in files) <= 14


@pytest.mark.parametrize("path", BY_STEP.values(), ids=lambda path: path.stem)
def test_a_lesson_stands_in_the_folder_of_its_step_and_is_for_any_class(path: Path) -> None:
    lesson = read_lesson(path)
    assert lesson.step == path.parent.name
    assert not lesson.class_name  # no real class is greeted by an invented name
    assert lesson.title
    assert lesson.opening.lead_in
    assert lesson.minutes is not None
    assert 8 <= lesson.minutes <= 25 or (path.stem, lesson.minutes) == ("filler", 6)


def test_every_kind_of_question_is_asked() -> None:
    kinds = {each.kind for path in BY_STEP.values() for each in read_lesson(path).rounds}
    assert kinds == set(QUESTION_CODES)


def test_the_lesson_for_an_indoor_break_stays_on_the_chairs() -> None:
    lesson = read_lesson(EVERY["indoor"])
    assert lesson.seated
    named = {slug for each in lesson.rounds for slug in each.moves} | set(lesson.opening.warm_up)
    assert {find(slug).kind for slug in named} == {"seated"}


def test_one_lesson_speaks_two_languages_and_one_no_english() -> None:
    assert read_lesson(EVERY["bilingual"]).second_language == "es"
    assert read_lesson(EVERY["cuartos"]).language == "es"


def test_one_lesson_has_roman_numerals_on_its_dials() -> None:
    assert [name for name, path in EVERY.items() if read_lesson(path).numerals == "roman"] == ["old-tower"]


@pytest.mark.parametrize("path", EVERY.values(), ids=EVERY.keys())
def test_it_passes_its_check_but_for_its_length(path: Path) -> None:
    """The quiet voice knows no real lengths; those are the next test's."""
    findings = look_over(rehearse_file(path, LENGTHS))
    assert [each.sentence() for each in findings if each.level == "error" and each.check != "length"] == []


def test_the_example_that_the_readme_gives_passes_its_check() -> None:
    readme = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
    script = re.findall(r"```toml\n(.*?)```", readme, flags=re.DOTALL)[0]
    findings = look_over(rehearse(lesson_from_text(script), stage_of("", Path()), LENGTHS))
    # Two clocks make no lesson, so nothing is said of length, warm-up or movement.
    assert [each.sentence() for each in findings if each.level == "error"] == []
    assert {each.check for each in findings} <= {"activity"}


@pytest.mark.endtoend
@pytest.mark.timeout(900)
def test_all_pass_their_check_and_last_as_long_as_they_say() -> None:
    with spoken_lengths() as lengths:
        for name, path in EVERY.items():
            rehearsal = rehearse_file(path, lengths)
            minutes = rehearsal.lesson.minutes or 0
            assert abs(rehearsal.length_s - 60 * minutes) <= TOLERANCE_S, name
            assert [each.sentence() for each in look_over(rehearsal) if each.level == "error"] == [], name

"""A hall made by five questions: whatever is answered is a hall file that can be used."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest

from caller.hall.hallfile import find_hall, parse_hall
from caller.live.start.my_classes import HallAnswers, hall_of
from caller.planning.classfile import read_class
from caller.screen.menu import Menu
from tests.live.start.test_pages import CLASS, furnished, walked
from tests.sampling import sampled

__all__ = ["furnished"]  # the fixture that every test here begins with

CHOICES = {"kind": 6, "length": 5, "screen": 4, "speaker": 4, "row": 4}
FIVE = CLASS + "down right return "  # to the first of the questions


@pytest.mark.parametrize("kind", range(CHOICES["kind"]))
def test_every_answer_makes_a_hall(kind: int) -> None:
    others = [name for name in CHOICES if name != "kind"]
    for numbers in sampled(list(product(*(range(CHOICES[name]) for name in others))), 11):
        answers: HallAnswers = {"kind": kind} | dict(zip(others, numbers, strict=True))
        hall = parse_hall(hall_of(answers, "Terns"), "terns-hall.toml")
        assert hall.screen.last_row_m <= hall.length_m


def test_a_larger_answer_is_a_larger_hall() -> None:
    small, large = (
        parse_hall(hall_of(dict.fromkeys(CHOICES, number), "Terns"), "hall.toml") for number in (0, 3)
    )
    assert small.length_m < large.length_m
    assert small.screen.last_row_m < large.screen.last_row_m
    assert small.screen.image_height_m < large.screen.image_height_m
    assert small.speaker.level_at_1m_dba < large.speaker.level_at_1m_dba


def test_the_class_meets_in_the_hall_that_was_asked_for(furnished: Path) -> None:
    classes = furnished / "data" / "hall-caller" / "classes"
    walked(FIVE + "right return return return return left return escape")
    gannets = read_class(classes / "gannets.toml")
    hall = find_hall(gannets.hall, folder=classes)
    assert hall.length_m == 24  # of the gym that swallows sound, one to the right of the usual one
    assert hall.screen.last_row_m == round(0.4 * 24)
    assert not read_class(classes / "terns.toml").hall


def test_going_back_asks_the_question_before_and_leaving_the_first_changes_nothing(furnished: Path) -> None:
    classes = furnished / "data" / "hall-caller" / "classes"
    before = {path.name: path.read_bytes() for path in classes.iterdir()}
    shown = walked(FIVE + "return return escape escape escape")
    titles = [page.title[:5] for page in shown if isinstance(page, Menu) and page.title[1:4] == " / "]
    assert titles[:3] == ["1 / 5", "2 / 5", "3 / 5"]
    assert {path.name: path.read_bytes() for path in classes.iterdir()} == before

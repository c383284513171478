"""Changing one thing in a script leaves every other letter as it was."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from difflib import ndiff

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.errors import UserError
from caller.lesson.library import lesson_from_text, ready_lessons
from caller.maker import script

DEMO = ready_lessons()["demo"].read_text(encoding="utf-8")
TEXTS = sorted({path.read_text(encoding="utf-8") for path in ready_lessons().values()})
BY_HAND = """\
# Terns, Tuesdays
title = "Quarters"   # said aloud

# the first clock
[[round]]
time = "4:45"        # a hard one
say = \"\"\"Look!
[[round]]\"\"\"

# the second
# has two notes
[[round]]
time = "7:30"
wrong = "6:30"

[close]
breaths = 2
"""


def changed(before: str, after: str) -> list[str]:
    lines = ndiff(before.splitlines(), after.splitlines())
    return [line for line in lines if line[0] in "+-" and line[2:].strip()]


def test_a_value_is_changed_and_its_note_stays() -> None:
    after = script.with_round_value(BY_HAND, 0, "time", "5:15")
    assert changed(BY_HAND, after) == [
        '- time = "4:45"        # a hard one',
        '+ time = "5:15"        # a hard one',
    ]


def test_a_new_key_stands_with_its_own_round_and_above_the_notes_of_the_next() -> None:
    after = script.with_round_value(BY_HAND, 0, "moves", ["tree", "march"])
    assert changed(BY_HAND, after) == ['+ moves = ["tree", "march"]']
    assert tomllib.loads(after)["round"][0]["moves"] == ["tree", "march"]
    after = script.with_value(BY_HAND, "minutes", 12)
    assert changed(BY_HAND, after) == ["+ minutes = 12"]
    assert tomllib.loads(after)["minutes"] == 12


def test_a_round_takes_its_notes_along() -> None:
    after = script.with_rounds(BY_HAND, [1, 0])
    assert (
        after.index("has two notes")
        < after.index("7:30")
        < after.index("the first clock")
        < after.index("4:45")
    )
    assert after.index("4:45") < after.index("[close]")
    assert sorted(filter(None, after.splitlines())) == sorted(filter(None, BY_HAND.splitlines()))


@pytest.mark.parametrize("text", TEXTS)
def test_every_ready_lesson_keeps_all_its_letters_when_its_rounds_are_turned_round(text: str) -> None:
    before = lesson_from_text(text)
    order = list(range(len(before.rounds)))[::-1]
    after = script.with_rounds(text, order)
    assert lesson_from_text(after).rounds == before.rounds[::-1]
    assert sorted(filter(None, after.splitlines())) == sorted(filter(None, text.splitlines()))
    assert changed(text, script.with_rounds(after, order)) == []


@given(st.sampled_from(TEXTS), st.data())
def test_a_value_set_is_read_back_by_pythons_own_parser_and_nothing_else_differs(
    text: str, data: st.DataObject
) -> None:
    before = tomllib.loads(text)
    index = data.draw(st.integers(0, len(before["round"]) - 1))
    after = tomllib.loads(script.with_round_value(text, index, "say", "Terns, listen!"))
    before["round"][index]["say"] = "Terns, listen!"
    assert after == before
    place = data.draw(st.integers(0, len(before["round"])))
    longer = tomllib.loads(script.with_round_added(text, place, "3:15"))
    assert longer["round"].pop(place) == {"time": "3:15"}
    assert longer == tomllib.loads(text)


def test_rounds_written_on_one_line_can_be_changed_too() -> None:
    text = 'title = "x"\nround = [{time = "4:45"}, {time = "7:30"}]\n'
    assert [str(each.time) for each in lesson_from_text(script.with_rounds(text, [1, 0])).rounds] == [
        "7:30",
        "4:45",
    ]
    assert lesson_from_text(script.with_round_value(text, 1, "say", "Now!")).rounds[1].say == "Now!"
    assert len(lesson_from_text(script.with_round_added(text, 2, "1:00")).rounds) == 3


def test_rounds_among_other_headings_are_refused_in_a_sentence() -> None:
    mixed = '[[round]]\ntime = "4:45"\n\n[close]\nbreaths = 2\n\n[[round]]\ntime = "7:30"\n'
    changes: tuple[Callable[[], str], ...] = (
        lambda: script.with_rounds(mixed, [1, 0]),
        lambda: script.with_round_added(mixed, 1, "3:00"),
        lambda: script.with_round_value(mixed, 0, "wrong", "5:45"),
    )
    for change in changes:
        with pytest.raises(UserError, match="other headings between its rounds"):
            change()

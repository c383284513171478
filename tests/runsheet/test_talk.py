"""What a lesson speaks: readings are spelled where an echo could take one for the other, and only there."""

from __future__ import annotations

from dataclasses import replace

import pytest

from caller.clock import ClockTime
from caller.deciding.decide import decide
from caller.hall.adapt import DEFAULT_DELIVERY
from caller.languages.phrases import Phrases
from caller.lesson import Lesson, Round
from caller.questions import QUESTION_CODES
from caller.runsheet.opening_and_end import closing, opening
from caller.runsheet.rounds import round_calls
from caller.runsheet.sequence import make_run_sheet
from caller.runsheet.talk import Talk


def test_a_lesson_is_composed_without_a_word_looked_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """What builders of calls yield is the same data in every language; only `Talk` asks for words."""
    rounds = tuple(Round(kind=kind) for kind in QUESTION_CODES)
    english = decide(Lesson(rounds=rounds, step="minutes", seed=4))

    def no_words(*_: object, **__: object) -> None:
        raise AssertionError("a builder has looked words up")

    with monkeypatch.context() as context:
        for words in ("say", "part", "words"):
            context.setattr(Phrases, words, no_words)
        drafts = [*opening(english), *closing(english)]
        for each in english.rounds:
            drafts += round_calls(english, each)
    french = replace(english, lesson=replace(english.lesson, language="fr"))
    assert drafts == [
        *opening(french),
        *closing(french),
        *(draft for each in french.rounds for draft in round_calls(french, each)),
    ]
    talks = [Talk.of(each, DEFAULT_DELIVERY) for each in (english, french)]
    worded = [[line.written for call in talk.worded(drafts) for line in call.lines] for talk in talks]
    assert len(worded[0]) == len(worded[1]) > 50
    assert not set(worded[0]) & set(worded[1]) - {""}


def said(wrong: ClockTime) -> str:
    lesson = Lesson(
        step="minutes",
        register="digital",
        rounds=(Round(time=ClockTime(3, 30), wrong=(wrong,)),),
    )
    echoing = replace(DEFAULT_DELIVERY, wording="apart")
    calls = make_run_sheet(lesson, delivery=echoing).calls
    return " ".join(line.speech for call in calls if call.round == 1 for line in call.lines)


@pytest.mark.parametrize(
    ("wrong", "spelled"), [(ClockTime(3, 13), True), (ClockTime(4, 30), False), (ClockTime(4, 13), False)]
)
def test_a_reading_is_spelled_only_beside_its_like(wrong: ClockTime, spelled: bool) -> None:
    assert ("three, three zero" in said(wrong)) is spelled
    assert ("three thirty" in said(wrong)) is not spelled or spelled
